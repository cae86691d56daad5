/** A satellite's number in sentences: GPS keeps its own, two digits. */
export function satelliteNumber(id: string): string {
  return id.slice(1);
}
