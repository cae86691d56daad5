import { fixed } from './fields.js';
import { FIRST_SIGNAL_IDS } from './groups.js';
import { GSA_PLACES } from './layout.js';
import type { ReportText, UsedBlock } from './report-text.js';

/** The residuals are those after the solution, not those from before it. */
const MODE = 1;
/** From here on a residual has no decimals, and this is the largest that is written, m (from memory). */
const LARGE_M = 99.9;
const LARGEST_M = 999;

/** GRS: time and the residuals of the satellites used, m, in the order and division of GSA. */
export function grs(text: ReportText): void {
  for (const block of text.usedBlocks()) {
    text.sendFitting(1, (decimals) => body(text, block, decimals, block.places.length));
  }
}

/** @param count residuals that are written: where even whole metres are too long, the last places stay blank */
function body(text: ReportText, block: UsedBlock, decimals: number, count: number): string {
  const { report, layout, time } = text;
  const { group, places } = block;
  let written = `GRS,${time},${MODE}`;
  for (let i = 0; i < GSA_PLACES; i++) {
    const residualM = i < count ? report.residualsM[places[i] as number] : undefined;
    written += residualM === undefined ? ',' : `,${residualText(residualM, decimals)}`;
  }
  if (layout.hasIds) {
    written += group === null ? ',,' : `,${group + 1}${layout.signalFields[FIRST_SIGNAL_IDS[group] as number]}`;
  }
  const isTooLong = decimals === 0 && count > 0 && !layout.fits(text.talker + written);
  return isTooLong ? body(text, block, decimals, count - 1) : written;
}

/** Every residual that has a decimal, by its tenths: there are some fifty of them an epoch. */
const TENTHS = Array.from({ length: Math.round(LARGE_M * 10) + 1 }, (_, tenth) => fixed(tenth / 10, 1));

function residualText(residualM: number, decimals: number): string {
  const sizeM = Math.min(LARGEST_M, Math.abs(residualM));
  const hasDecimals = decimals > 0 && sizeM <= LARGE_M;
  const size = hasDecimals ? (TENTHS[Math.round(sizeM * 10)] as string) : fixed(sizeM, 0);
  return residualM < 0 && Number(size) !== 0 ? `-${size}` : size;
}
