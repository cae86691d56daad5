declare module 'magvar' {
  /** Field at a place, heights in km: declination to 0.01 deg, horizontal intensity `h` in nT. */
  export function magneticField(
    latitudeDeg: number,
    longitudeDeg: number,
    heightKm: number,
    decimalYear: number,
  ): { declination: number; h: number };
}
