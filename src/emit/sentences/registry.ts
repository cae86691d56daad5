import type { Report } from '../../sim/epoch.js';
import type { SystemName } from '../../sim/sky/system.js';
import { frame } from './checksum.js';
import { dtm } from './dtm.js';
import { gbs } from './gbs.js';
import { gga } from './gga.js';
import { gll } from './gll.js';
import { gns } from './gns.js';
import { groupsOf, talkerOf } from './groups.js';
import { grs } from './grs.js';
import { gsa } from './gsa.js';
import { gst } from './gst.js';
import { gsv } from './gsv.js';
import { hdt, rot, ths } from './heading.js';
import { ReportText } from './report-text.js';
import { rmc } from './rmc.js';
import type { SentenceName, SentenceStyle } from './style.js';
import { txt } from './txt.js';
import { vbw } from './vbw.js';
import { vtg } from './vtg.js';
import { zda } from './zda.js';

/** What writes each sentence, or each kind's several. */
const WRITERS: Readonly<Record<SentenceName, (text: ReportText) => void>> = {
  GGA: gga,
  GLL: gll,
  GSA: gsa,
  GSV: gsv,
  RMC: rmc,
  VTG: vtg,
  ZDA: zda,
  GNS: gns,
  GST: gst,
  GBS: gbs,
  GRS: grs,
  DTM: dtm,
  VBW: vbw,
  THS: ths,
  HDT: hdt,
  ROT: rot,
};

/** Sentences of an epoch, `$…*hh` without CR LF, in the order of `names`. */
export function writeSentences(report: Report, style: SentenceStyle, names: readonly SentenceName[]): string[] {
  const text = new ReportText(report, style);
  for (const name of names) WRITERS[name](text);
  return text.sentences;
}

/**
 * The banner at start-up.
 * @param systems those that the receiver has, for the talker
 */
export function writeBanner(
  lines: readonly string[],
  style: SentenceStyle,
  systems: readonly SystemName[] = ['gps'],
): string[] {
  const isByRule = style.talker === 'auto' || style.talker === 'used';
  const talker = isByRule ? talkerOf(groupsOf(systems, style), style) : style.talker;
  return txt(lines).map((body) => frame(talker + body));
}
