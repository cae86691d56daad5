/**
 * How much longer than straight up the way through the troposphere is; takes the sine of the elevation, 0 or more.
 * Source: RTCA DO-229, appendix A.4.2.4.
 */
export function mopsMapping(sinElevation: number): number {
  return 1.001 / Math.sqrt(0.002001 + sinElevation * sinElevation);
}
