/** What stands around the antenna. Heights are above the antenna. */
export type Surroundings =
  | { readonly kind: 'open' }
  | { readonly kind: 'tunnel' }
  /**
   * Elevation of the horizon by azimuth: points in ascending azimuth, straight between them, closed round the circle.
   */
  | { readonly kind: 'horizon'; readonly points: ReadonlyArray<readonly [azimuthDeg: number, elevationDeg: number]> }
  | {
      readonly kind: 'street-canyon';
      /** From facade to facade; the antenna is in the middle. */
      readonly widthM: number;
      readonly leftHeightM: number;
      readonly rightHeightM: number;
      /** Direction of the street, deg true; null: the antenna's course. */
      readonly directionDeg: number | null;
    }
  | {
      readonly kind: 'forest';
      readonly canopyM: number;
      /** Loss of a metre of foliage, dB. */
      readonly lossDbPerM: number;
    }
  | {
      readonly kind: 'indoors';
      /** Loss of roof and of walls, dB. */
      readonly roofDb: number;
      readonly wallDb: number;
    };

export const OPEN_SKY: Surroundings = { kind: 'open' };
