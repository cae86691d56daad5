import { counted } from '../../base/words.js';
import { decode } from '../../grammar/decode.js';
import { parseSentence } from '../../grammar/sentence.js';
import type { Evidence, HostReport, TrialEpoch } from '../evidence.js';
import type { Finding, Span } from '../expectation.js';
import { pairedReports } from '../pairing.js';
import { couldReach, formatterOf, hadMsOf, soundTextsOf } from '../told.js';
import { isWithin } from '../windows.js';
import { failed, passed, untested } from './finding.js';
import { silenceAfter } from './silence-after.js';

/** A number of satellites that an epoch's sentences tell, and by when the host had it, simulated ms. */
interface Told {
  readonly epoch: number;
  readonly atMs: number;
  readonly number: number;
}

type Kind = 'used' | 'inView';

/**
 * Holds the numbers of satellites that the host reports against the module's. Right is what the module reports at the
 * epoch that the report is about, or at the one before; and what the sentences of these said, since a module may cap
 * the number or list it less often than it has epochs: the last list that the host has is as good as the newest.
 */
export function judgeCounts(what: Kind, limit: number, evidence: Evidence, windows: readonly Span[]): Finding {
  const right = new RightCounts(what, evidence);
  const words = what === 'used' ? 'satellites used' : 'satellites in view';
  const differences: { report: HostReport; aboutMs: number; number: number; own: number; off: number }[] = [];
  for (const { report, epoch, aboutMs } of pairedReports(evidence)) {
    const number = report[what];
    if (number === null || epoch === null || !isWithin(windows, evidence, aboutMs)) continue;
    const off = Math.min(...right.at(epoch, report.arrivedMs).map((each) => Math.abs(each - number)));
    differences.push({ report, aboutMs, number, own: epoch.report[what], off });
  }
  if (differences.length === 0) return untested(`no report told a number of ${words}`);
  const most = differences.reduce((largest, { off }) => Math.max(largest, off), 0);
  const reason = `${words} ${most} off at most (${limit} allowed), ${counted(differences.length, 'report')}`;
  if (most <= limit) {
    const times = differences.map(({ aboutMs }) => aboutMs).sort((a, b) => a - b);
    const silence = silenceAfter(times, evidence, windows);
    return silence === null ? passed(reason, differences.length, most) : untested(`${reason}; but ${silence}`);
  }
  const moments = differences
    .filter(({ off }) => off > limit)
    .sort((a, b) => b.off - a.off)
    .map(({ report, number, own }) => ({
      atMs: report.arrivedMs,
      what: `${number} ${words} reported, ${own} by the module`,
      report: report.index,
    }));
  return failed(reason, differences.length, moments, most);
}

/** What a host may report. */
class RightCounts {
  readonly #what: Kind;
  readonly #told: readonly Told[];
  readonly #byEpoch = new Map<number, number[]>();
  /** How many of {@link #told} the host had at the report before: reports come in order. */
  #had = 0;

  constructor(what: Kind, evidence: Evidence) {
    this.#what = what;
    this.#told = what === 'used' ? toldUsed(evidence) : toldInView(evidence);
    for (const { index, report } of evidence.epochs) this.#byEpoch.set(index, [report[what]]);
    for (const { epoch, number } of this.#told) this.#byEpoch.get(epoch)?.push(number);
  }

  /** At an epoch, of a report that came at a time, which is not before that of the call before. */
  at(epoch: TrialEpoch, arrivedMs: number): number[] {
    while ((this.#told[this.#had]?.atMs ?? Infinity) <= arrivedMs) this.#had++;
    const last = this.#told[this.#had - 1];
    return [
      epoch.report[this.#what],
      ...(this.#byEpoch.get(epoch.index) ?? []),
      ...(this.#byEpoch.get(epoch.index - 1) ?? []),
      ...(last === undefined ? [] : [last.number]),
    ];
  }
}

/** By each GGA and GNS, in the order in which the host had them. */
function toldUsed(evidence: Evidence): Told[] {
  return decodedOf(evidence, ['GGA', 'GNS']).flatMap(({ epoch, atMs, decoded }) =>
    (decoded?.of === 'GGA' || decoded?.of === 'GNS') && decoded.used !== null
      ? [{ epoch, atMs, number: decoded.used }]
      : [],
  );
}

/** By all GSV of an epoch together: the sum over the talkers. */
function toldInView(evidence: Evidence): Told[] {
  const told: Told[] = [];
  let ofEpoch = -1;
  let byTalker = new Map<string, number>();
  for (const { epoch, atMs, talker, decoded } of decodedOf(evidence, ['GSV'])) {
    if (decoded?.of !== 'GSV' || decoded.inView === null) continue;
    if (epoch !== ofEpoch) byTalker = new Map();
    else told.pop();
    ofEpoch = epoch;
    byTalker.set(talker, Math.max(byTalker.get(talker) ?? 0, decoded.inView));
    told.push({ epoch, atMs, number: [...byTalker.values()].reduce((sum, each) => sum + each, 0) });
  }
  return told;
}

/** What the host could read of sentences of some kinds, and by when. */
function decodedOf(evidence: Evidence, formatters: readonly string[]) {
  return evidence.sentences
    .filter((sentence) => formatters.includes(formatterOf(sentence)) && couldReach(evidence, sentence))
    .flatMap((sentence) =>
      soundTextsOf(sentence).map((text) => {
        const parsed = parseSentence(text);
        return { epoch: sentence.epoch, atMs: hadMsOf(sentence), talker: parsed.talker, decoded: decode(parsed) };
      }),
    );
}
