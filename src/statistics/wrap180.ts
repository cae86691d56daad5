/**
 * The same angle within half a turn.
 * @param angleDeg any finite angle, deg
 * @returns deg in [-180, 180)
 */
export function wrap180(angleDeg: number): number {
  if (angleDeg >= -180 && angleDeg < 180) return angleDeg;
  const rest = angleDeg - 360 * Math.floor((angleDeg + 180) / 360);
  // Rounding in the division may leave it a step outside.
  return rest >= 180 || rest < -180 ? -180 : rest;
}
