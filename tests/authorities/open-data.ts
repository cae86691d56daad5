import { existsSync, readFileSync } from 'node:fs';
import { gunzipSync } from 'node:zlib';
import { LeapSeconds } from '../../src/base/leap-seconds.js';
import { type GpsTime, gpsFromUtc } from '../../src/base/time.js';

const FOLDER = new URL('../../../shared/data/', import.meta.url).pathname;

export function hasData(...files: readonly string[]): boolean {
  return files.every((file) => existsSync(FOLDER + file));
}

/** A file's text, unpacked. */
export function dataText(file: string): string {
  const bytes = readFileSync(FOLDER + file);
  return (file.endsWith('.gz') ? gunzipSync(bytes) : bytes).toString('utf8');
}

/** A satellite's place in a precise orbit file. */
export interface PrecisePlace {
  readonly id: string;
  readonly time: GpsTime;
  readonly placeM: readonly [number, number, number];
  /** Satellite clock without the effect of the orbit's eccentricity, s. */
  readonly clockS: number;
  /** The file marks its clock as unknown. */
  readonly isFlagged: boolean;
}

/** Reads an SP3-c file whose time system is GPS (S. Hilla, The Extended Standard Product 3 Orbit Format, 2010). */
export function readSp3(text: string): PrecisePlace[] {
  const places: PrecisePlace[] = [];
  let time: GpsTime = { week: 0, towS: 0 };
  for (const line of text.split('\n')) {
    if (line.startsWith('*')) {
      const [year, month, day, hour, minute, second] = line.slice(1).trim().split(/\s+/).map(Number) as number[];
      time = gpsFromUtc(
        { year: year!, month: month!, day: day!, hour: hour!, minute: minute!, second: second! },
        new LeapSeconds([]),
      );
    } else if (line.startsWith('P')) {
      const clockUs = Number(line.slice(46, 60));
      const at = (i: number) => Number(line.slice(4 + 14 * i, 18 + 14 * i));
      const placeM = [at(0) * 1000, at(1) * 1000, at(2) * 1000] as const;
      if (placeM.every((m) => m !== 0))
        places.push({ id: line.slice(1, 4), time, placeM, clockS: clockUs * 1e-6, isFlagged: clockUs > 999_999 });
    }
  }
  return places;
}

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.floor(sorted.length / 2)] ?? Number.NaN;
}
