import type { Report } from '../../src/sim/epoch.js';
import type { EpochLine } from '../run/helper.js';

/** A report as the journal has it, every satellite being where the report says. */
export function epochLine(report: Report): EpochLine {
  const { utc } = report;
  const text = utc === null ? null : '2026-05-12T06:40:07.500Z';
  const satellites = report.inView.map(({ id, azimuthDeg, elevationDeg, signals }) => ({
    id,
    azimuthDeg: azimuthDeg ?? 0,
    elevationDeg: elevationDeg ?? 0,
    state: report.used.includes(id) ? 'used' : signals.length > 0 ? 'tracking' : 'searching',
    orbit: 'ephemeris',
    signals: Object.fromEntries(signals.map(({ kind, cn0DbHz }) => [kind.name, { cn0DbHz }])),
    range: null,
  }));
  const counts = { used: report.used.length, inView: report.inView.length };
  return { report: { ...report, utc: text, ...counts }, satellites } as unknown as EpochLine;
}
