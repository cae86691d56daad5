/** Ends what is left of a group of processes at once. */
export function endGroup(group: number | null): void {
  if (group === null) return;
  try {
    process.kill(-group, 'SIGKILL');
  } catch {
    // Nothing is left of it.
  }
}
