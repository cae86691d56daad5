/**
 * GPS - UTC in whole seconds, by the UTC day from which it holds: [days since 1970-01-01, seconds].
 * Source: IERS Bulletin C series, list of leap seconds (TAI - UTC minus the constant 19 s of TAI - GPS).
 */
const GPS_MINUS_UTC: ReadonlyArray<readonly [dayFrom: number, seconds: number]> = [
  [3657, 0], // 1980-01-06, GPS epoch
  [4199, 1], // 1981-07-01
  [4564, 2], // 1982-07-01
  [4929, 3], // 1983-07-01
  [5660, 4], // 1985-07-01
  [6574, 5], // 1988-01-01
  [7305, 6], // 1990-01-01
  [7670, 7], // 1991-01-01
  [8217, 8], // 1992-07-01
  [8582, 9], // 1993-07-01
  [8947, 10], // 1994-07-01
  [9496, 11], // 1996-01-01
  [10043, 12], // 1997-07-01
  [10592, 13], // 1999-01-01
  [13149, 14], // 2006-01-01
  [14245, 15], // 2009-01-01
  [15522, 16], // 2012-07-01
  [16617, 17], // 2015-07-01
  [17167, 18], // 2017-01-01
];

/** Which leap seconds there are: GPS - UTC by the UTC day (days since 1970-01-01). */
export class LeapSeconds {
  readonly #table: ReadonlyArray<readonly [dayFrom: number, seconds: number]>;

  /** @param table by the day from which each offset holds, ascending */
  constructor(table: ReadonlyArray<readonly [dayFrom: number, seconds: number]>) {
    this.#table = table;
  }

  /** GPS - UTC, s, on a UTC day. Before the first entry it is 0, after the last one it stays. */
  gpsMinusUtcOnDayS(dayNumber: number): number {
    // From the end, since most runs are of our time.
    for (let i = this.#table.length - 1; i >= 0; i--) {
      const entry = this.#table[i] as readonly [number, number];
      if (dayNumber >= entry[0]) return entry[1];
    }
    return 0;
  }

  /** True where a leap second is inserted at the end of a UTC day. */
  endsWithLeapSecond(dayNumber: number): boolean {
    return this.gpsMinusUtcOnDayS(dayNumber + 1) > this.gpsMinusUtcOnDayS(dayNumber);
  }

  /** These, and a fictional one at the end of a UTC day after the last. */
  withOneMore(atEndOfDay: number): LeapSeconds {
    return new LeapSeconds([...this.#table, [atEndOfDay + 1, this.gpsMinusUtcOnDayS(atEndOfDay) + 1]]);
  }

  /** The last UTC day that ends with one of them. */
  get lastDay(): number {
    return (this.#table.at(-1)?.[0] ?? 0) - 1;
  }
}

/** Those that were inserted. */
export const PUBLISHED_LEAP_SECONDS = new LeapSeconds(GPS_MINUS_UTC);
