import type { Report } from '../../sim/epoch.js';
import { frame } from './checksum.js';
import { gga } from './gga.js';
import { gll } from './gll.js';
import { gsa } from './gsa.js';
import { gsv } from './gsv.js';
import { type ReportText, writeReport } from './report-text.js';
import { rmc } from './rmc.js';
import type { SentenceName, SentenceStyle } from './style.js';
import { txt } from './txt.js';
import { vtg } from './vtg.js';
import { zda } from './zda.js';

/** What writes each sentence: its body from the name on, without talker and checksum. */
const WRITERS: Readonly<Record<SentenceName, (text: ReportText) => string[]>> = {
  GGA: gga,
  GLL: gll,
  GSA: gsa,
  GSV: gsv,
  RMC: rmc,
  VTG: vtg,
  ZDA: zda,
};

/** Sentences of an epoch, `$…*hh` without CR LF, in the order of `names`. */
export function writeSentences(report: Report, style: SentenceStyle, names: readonly SentenceName[]): string[] {
  const text = writeReport(report, style);
  const sentences: string[] = [];
  for (const name of names) {
    for (const body of WRITERS[name](text)) sentences.push(frame(style.talker + body));
  }
  return sentences;
}

/** The banner at start-up. */
export function writeBanner(lines: readonly string[], style: SentenceStyle): string[] {
  return txt(lines).map((body) => frame(style.talker + body));
}
