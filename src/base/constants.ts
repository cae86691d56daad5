/** Speed of light in vacuum, m/s (exact; IS-GPS-200, 20.3.4.3). */
export const SPEED_OF_LIGHT_MPS = 299_792_458;

/** WGS-84 semi-major axis, m (NGA.STND.0036, table 3.1). */
export const WGS84_SEMI_MAJOR_M = 6_378_137;
/** WGS-84 flattening, 1 (NGA.STND.0036, table 3.1). */
export const WGS84_FLATTENING = 1 / 298.257223563;
/** Earth's rotation rate used with GPS, rad/s (IS-GPS-200, table 20-IV). */
export const EARTH_ROTATION_RADPS = 7.2921151467e-5;
/** Earth's gravitational constant used with GPS, m3/s2 (IS-GPS-200, table 20-IV). */
export const GM_GPS_M3PS2 = 3.986005e14;
/** Nominal semi-major axis of GPS, m (GPS SPS Performance Standard, table 3.2-1). */
export const GPS_SEMI_MAJOR_M = 26_559_700;
/** Mean radius of the Earth, m (IUGG mean radius R1, rounded): for rough geometry. */
export const EARTH_MEAN_RADIUS_M = 6_371_000;

/** GPS L1 carrier, Hz (IS-GPS-200, 3.3.1.1). */
export const GPS_L1_HZ = 1_575_420_000;

export const SECONDS_PER_DAY = 86_400;
export const SECONDS_PER_WEEK = 604_800;

export const DEG_PER_RAD = 180 / Math.PI;
export const RAD_PER_DEG = Math.PI / 180;

/** International knot, m/s: 1852 m an hour (SI brochure, 8th edition, table 8). */
export const KNOT_MPS = 1852 / 3600;

/** Bit times that a byte takes on a UART's line: start bit, eight data bits, stop bit. */
export const BITS_PER_BYTE = 10;

/**
 * Earth's gravitational constant used with GLONASS, Galileo and BeiDou, m3/s2 (GLONASS ICD 5.1, 3.3.4, as updated by
 * PZ-90.11; Galileo OS SIS ICD 2.1, 5.1.1; BeiDou B1I 3.0, 3.2).
 */
export const GM_EARTH_M3PS2 = 3.986004418e14;
/** Equatorial radius of PZ-90.11, m (GLONASS ICD 5.1, 3.3.4, as updated by PZ-90.11). */
export const PZ90_SEMI_MAJOR_M = 6_378_136;
/** Second zonal harmonic of PZ-90.11, 1 (same source). */
export const PZ90_J2 = 1.08262575e-3;

/** Earth's rotation rate used with BeiDou, rad/s (CGCS2000; BeiDou B1I 3.0, 3.2). */
export const EARTH_ROTATION_BEIDOU_RADPS = 7.292115e-5;

/** Semi-major axis of geostationary and geosynchronous orbits, m (BeiDou B1I 3.0, 3.1: height 35,786 km). */
export const GEOSTATIONARY_M = 42_164_000;
