import { fixed, fixedOrBlank } from './fields.js';
import { FIRST_SIGNAL_IDS } from './groups.js';
import type { ReportText } from './report-text.js';

/** Decimals of the probability that a fault goes unseen. */
const PROBABILITY_DECIMALS = 3;

/** GBS: time, expected errors of latitude, longitude, altitude, and the satellite most likely at fault. */
export function gbs(text: ReportText): void {
  const { report, style, layout, time } = text;
  const { deviation, suspect } = report;
  text.sendFitting(style.altitudeDecimals, (decimals) => {
    const metres = (valueM: number | null | undefined) => fixedOrBlank(valueM ?? null, decimals);
    const expected = `${metres(deviation?.latitudeM)},${metres(deviation?.longitudeM)},${metres(deviation?.altitudeM)}`;
    if (suspect === null) return `GBS,${time},${expected},,,,${layout.hasIds ? ',,' : ''}`;
    const { number, group } = layout.satellite(suspect.id);
    const missed = fixed(suspect.missedProbability, PROBABILITY_DECIMALS);
    const ids = layout.hasIds ? `,${group + 1}${layout.signalFields[FIRST_SIGNAL_IDS[group] as number]}` : '';
    const fault = `${number},${missed},${metres(suspect.biasM)},${metres(suspect.deviationM)}`;
    return `GBS,${time},${expected},${fault}${ids}`;
  });
}
