import { LodestubError } from '../../../base/error.js';
import type { BroadcastRecord } from '../broadcast-record.js';
import { type NavigationHeader, readHeader } from './header.js';
import { readKepler } from './kepler-lines.js';
import type { RecordLines } from './lines.js';
import type { NavigationFile } from './navigation-file.js';
import { splitRecords } from './split-records.js';
import { readState } from './state-lines.js';

/**
 * Reads a RINEX navigation file of version 2, 3 or 4: elements of GPS, Galileo, BeiDou, QZSS and NavIC, states of
 * GLONASS and SBAS, Klobuchar's coefficients of GPS. Messages of the newer kinds (CNAV, CNV1 and the like) are left
 * out.
 * @param name for messages
 * @throws LodestubError `navigation.empty`, `navigation.format`, `navigation.version`, `navigation.truncated`,
 *   `navigation.line`
 * Source: RINEX 2.11, tables A3, A4, A10, A11, A15, A16; RINEX 3.05, tables A5 to A16; RINEX 4.00, section 5.4.
 */
export function parseNavigation(text: string, name: string): NavigationFile {
  const lines = text.split(/\r\n|\r|\n/);
  const isCutInLine = lines.at(-1) !== '';
  const header = readHeader(lines, name);
  const { records: groups, ionosphere } = splitRecords(lines, header, isCutInLine, name);
  const records: BroadcastRecord[] = [];
  let skipped = 0;
  for (const group of groups) {
    const record = readRecord(group, header);
    if (record === null) skipped++;
    else records.push(record);
  }
  if (records.length === 0) {
    throw new LodestubError({
      code: 'navigation.empty',
      path: name,
      expected: 'at least one record of a satellite',
      received: `none (${skipped} damaged ones)`,
    });
  }
  return {
    version: header.version,
    records: withoutSecondGalileo(records),
    klobuchar: header.klobuchar ?? (ionosphere === null ? null : klobucharOf(ionosphere)),
    leapSeconds: header.leapSeconds,
    skipped,
  };
}

function readRecord(lines: RecordLines, header: NavigationHeader): BroadcastRecord | null {
  return lines.letter === 'R' || lines.letter === 'S' ? readState(lines, header) : readKepler(lines);
}

/** Data sources of Galileo in RINEX: bits 0 and 2 are I/NAV, which E1 carries; bit 1 is F/NAV. */
const INAV_BITS = 0b101;

function withoutSecondGalileo(records: readonly BroadcastRecord[]): BroadcastRecord[] {
  const isInav = (record: BroadcastRecord) => record.kind === 'kepler' && (record.dataSource & INAV_BITS) !== 0;
  const withInav = new Set(
    records
      .filter(({ system }) => system === 'galileo')
      .filter(isInav)
      .map(({ id }) => id),
  );
  return records.filter((record) => !withInav.has(record.id) || isInav(record));
}

/** RINEX 4: three coefficients in the epoch's line, then four, then one. */
function klobucharOf(lines: RecordLines): NavigationFile['klobuchar'] {
  const value = (index: number) => lines.number(index);
  return {
    alpha: [value(0), value(1), value(2), value(3)],
    beta: [value(4), value(5), value(6), value(7)],
  };
}
