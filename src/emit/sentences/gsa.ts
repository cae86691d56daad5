import { frame } from './checksum.js';
import { GSA_PLACES } from './layout.js';
import type { ReportText } from './report-text.js';

const FIX_DIGIT = { none: 1, '2d': 2, '3d': 3 } as const;

/**
 * GSA: fix type, satellites used, dilutions of precision; one a system, or of all systems together, and one more for
 * each further twelve.
 */
export function gsa(text: ReportText): void {
  const { report, style, layout, pdop, hdop, vdop } = text;
  const end = `${pdop},${hdop},${vdop}`;
  for (const { group, places } of text.usedBlocks()) {
    let body = `GSA,A,${FIX_DIGIT[report.fix]},`;
    for (const place of places) body += `${layout.satellite(report.used[place] as string).number},`;
    body += ','.repeat(GSA_PLACES - places.length) + end;
    if (layout.hasIds) body += `,${group === null ? '' : group + 1}`;
    const isOwn = style.gsaTalker === 'system' && group !== null;
    text.sentences.push(frame((isOwn ? (layout.talkers[group] as string) : text.talker) + body));
  }
}
