import { z } from 'zod';
import { counted } from '../../../base/words.js';
import { distanceM, type Place } from '../../../statistics/distance-m.js';
import { wrap180 } from '../../../statistics/wrap180.js';
import type { Evidence, HostReport, TrialSentence } from '../../evidence.js';
import { couldReach, hadMsOf } from '../../told.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { failed, passed, untested } from '../finding.js';
import { claimedPlaceOf, placeOf } from '../report-errors.js';

/**
 * A report so near is the tell-tale, deg in latitude and in longitude: more than what a host rounds to (two decimals of
 * a degree) or a sentence is written with (whole minutes), and far less than the 5 deg that one is from the track.
 */
const NEAR_DEG = 0.02;

/** So far from the antenna no usual error of a host's takes it, m. */
const FAR_M = 100_000;

type Telling = TrialSentence & Required<Pick<TrialSentence, 'tellTale'>>;

/**
 * Some damaged sentences carry a place of their own that the antenna never comes near: whoever reports it has used that
 * sentence. Of damaged sentences without one nothing can be told.
 */
export const damagedSentence = defineExpectation({
  key: 'damaged-sentence',
  title: 'Damaged sentences refused',
  shape: {
    'damaged-sentence': z
      .literal('refused', { error: 'expected refused' })
      .describe(
        'refused: the host never reports the place of a sentence whose checksum does not match, or that is cut',
      ),
  },
  describe: () => 'damaged sentences refused',
  judge: (_, evidence, windows) => {
    const { reports, epochs } = evidence;
    const epochMs = new Map(epochs.map(({ index, atMs }) => [index, atMs]));
    // A fault of sentences is in force for an epoch: the last of its sentences may go out when the fault is over.
    const isMeant = (sentence: TrialSentence) =>
      isWithin(windows, evidence, hadMsOf(sentence)) ||
      isWithin(windows, evidence, epochMs.get(sentence.epoch) ?? sentence.endMs);
    const sent = evidence.sentences.filter(
      (sentence): sentence is Telling =>
        sentence.tellTale !== undefined && isMeant(sentence) && couldReach(evidence, sentence),
    );
    if (sent.length === 0) return untested('no damaged sentence with a tell-tale place reached the host');
    const lastMs = reports.at(-1)?.arrivedMs ?? -Infinity;
    const tests = sent.filter((sentence) => hadMsOf(sentence) <= lastMs).length;
    if (tests === 0) return untested('no report came after a damaged sentence');
    // Who reports no place at all has refused nothing.
    if (!reports.some((report) => claimedPlaceOf(report) !== null)) return untested('no report told a place');
    const users = firstUsersOf(sent, evidence);
    const used = sent.flatMap((sentence) => {
      const report = users.get(sentence);
      return report === undefined ? [] : [{ sentence, report }];
    });
    const of = counted(sent.length, 'damaged sentence');
    if (used.length === 0) return passed(`none of ${of} used`, tests, 0);
    const moments = used.map(({ sentence, report }) => ({
      atMs: report.arrivedMs,
      what: 'the place of a damaged sentence reported',
      report: report.index,
      sentenceMs: sentence.startMs,
    }));
    return failed(`${used.length} of ${of} used`, tests, moments, used.length);
  },
});

/**
 * The first report of each sentence's place that came since it began. A host that confuses north and south, or east and
 * west, reports it mirrored: that counts where the antenna is far from there.
 */
function firstUsersOf(sent: readonly Telling[], evidence: Evidence): ReadonlyMap<Telling, HostReport> {
  const byLatitude = [...sent].sort((a, b) => a.tellTale.latitudeDeg - b.tellTale.latitudeDeg);
  const users = new Map<Telling, HostReport>();
  const placedAt = ({ arrivedMs }: HostReport, latitudeDeg: number, longitudeDeg: number): Telling[] => {
    const found: Telling[] = [];
    for (let i = firstFrom(byLatitude, latitudeDeg - NEAR_DEG); i < byLatitude.length; i++) {
      const sentence = byLatitude[i] as Telling;
      if (sentence.tellTale.latitudeDeg > latitudeDeg + NEAR_DEG) break;
      const eastDeg = Math.abs(wrap180(longitudeDeg - sentence.tellTale.longitudeDeg));
      if (eastDeg <= NEAR_DEG && arrivedMs >= sentence.startMs) found.push(sentence);
    }
    return found;
  };
  for (const report of evidence.reports) {
    const place = claimedPlaceOf(report);
    if (place === null) continue;
    const { latitudeDeg, longitudeDeg } = place;
    const found = placedAt(report, latitudeDeg, longitudeDeg);
    const mirrored = [
      ...placedAt(report, -latitudeDeg, longitudeDeg),
      ...placedAt(report, latitudeDeg, -longitudeDeg),
      ...placedAt(report, -latitudeDeg, -longitudeDeg),
    ];
    if (mirrored.length > 0 && isFarFromAntenna(report, place, evidence)) found.push(...mirrored);
    for (const sentence of found) if (!users.has(sentence)) users.set(sentence, report);
  }
  return users;
}

/** Whether a place is far from where the antenna was when its report came; where nobody knows, it is not. */
function isFarFromAntenna({ arrivedMs }: HostReport, place: Place, { epochs }: Evidence): boolean {
  const epoch = epochs.findLast(({ atMs }) => atMs <= arrivedMs);
  if (epoch === undefined) return false;
  const there = epoch.truth ?? placeOf(epoch.report);
  return there !== null && distanceM(place, there) > FAR_M;
}

/** Where those begin that are at a latitude or north of it. */
function firstFrom(byLatitude: readonly Telling[], latitudeDeg: number): number {
  let [low, high] = [0, byLatitude.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((byLatitude[middle] as Telling).tellTale.latitudeDeg < latitudeDeg) low = middle + 1;
    else high = middle;
  }
  return low;
}
