import { z } from 'zod';
import { wrap180 } from '../../../statistics/wrap180.js';
import type { SentenceRecord } from '../../../truth/journal-record.js';
import type { HostReport } from '../../evidence.js';
import { couldReach } from '../../told.js';
import { isWithin } from '../../windows.js';
import { defineExpectation } from '../define.js';
import { count } from '../figures.js';
import { failed, passed, untested } from '../finding.js';
import { claimedPlaceOf } from '../report-errors.js';

/**
 * A report so near is the tell-tale, deg in latitude and in longitude: more than what a host rounds to (two decimals of
 * a degree) or a sentence is written with (whole minutes), and far less than the 5 deg that one is from the track.
 */
const NEAR_DEG = 0.02;

type Telling = SentenceRecord & Required<Pick<SentenceRecord, 'tellTale'>>;

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
    const isMeant = ({ epoch, endMs }: SentenceRecord) =>
      isWithin(windows, evidence, endMs) || isWithin(windows, evidence, epochMs.get(epoch) ?? endMs);
    const sent = evidence.sentences.filter(
      (sentence): sentence is Telling =>
        sentence.tellTale !== undefined && isMeant(sentence) && couldReach(evidence, sentence),
    );
    if (sent.length === 0) return untested('no damaged sentence with a tell-tale place reached the host');
    const lastMs = reports.at(-1)?.arrivedMs ?? -Infinity;
    const tests = sent.filter(({ endMs }) => endMs <= lastMs).length;
    if (tests === 0) return untested('no report came after a damaged sentence');
    const used = sent.flatMap((sentence) => {
      const report = reports.find((each) => each.arrivedMs >= sentence.startMs && isAt(each, sentence.tellTale));
      return report === undefined ? [] : [{ sentence, report }];
    });
    const of = count(sent.length, 'damaged sentence');
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

function isAt(report: HostReport, tellTale: Telling['tellTale']): boolean {
  const place = claimedPlaceOf(report);
  if (place === null) return false;
  const northDeg = Math.abs(place.latitudeDeg - tellTale.latitudeDeg);
  const eastDeg = Math.abs(wrap180(place.longitudeDeg - tellTale.longitudeDeg));
  return northDeg <= NEAR_DEG && eastDeg <= NEAR_DEG;
}
