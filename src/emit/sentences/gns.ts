import type { Report } from '../../sim/epoch.js';
import type { SystemName } from '../../sim/sky/system.js';
import { fixedOrBlank } from './fields.js';
import type { ReportText } from './report-text.js';
import { isFrom, type SentenceStyle } from './style.js';

/** A letter each, in this order (NMEA 0183 4.11, second hand); those before 4.11 end with BeiDou (from memory). */
const MODE_ORDER: readonly SystemName[] = ['gps', 'glonass', 'galileo', 'beidou', 'qzss', 'navic'];
const BEFORE_4_11 = 4;
const FEWEST = 2;

/**
 * GNS: time, position, mode of each system, satellites used, HDOP, altitude, geoid separation, corrections. Under GN
 * the corrections are blank: they would be those of one system (NMEA 0183, second hand).
 */
export function gns(text: ReportText): void {
  const { report, style, time, position, used, hdop, navStatus } = text;
  const modes = modeLetters(report, style);
  const corrections = text.talker === 'GN' ? ',' : text.differential;
  text.sendFitting(style.altitudeDecimals, (decimals) => {
    const altitude = fixedOrBlank(report.altitudeMslM, decimals);
    const separation = fixedOrBlank(report.geoidSeparationM, decimals);
    const heights = `${altitude},${separation}`;
    return `GNS,${time},${position},${modes},${used},${hdop},${heights},${corrections}${navStatus}`;
  });
}

/** As many letters as the last system that the receiver has, two at least. */
function modeLetters({ systemModes }: Report, { version }: SentenceStyle): string {
  const most = isFrom(version, '4.11') ? MODE_ORDER.length : BEFORE_4_11;
  let letters = '';
  let needed = FEWEST;
  for (let place = 0; place < most; place++) {
    const mode = systemModes[MODE_ORDER[place] as SystemName];
    letters += mode ?? 'N';
    if (mode !== undefined) needed = Math.max(needed, place + 1);
  }
  return letters.slice(0, needed);
}
