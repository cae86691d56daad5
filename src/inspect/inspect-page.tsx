import type { ComponentChildren, JSX } from 'preact';
import { count, decimal, duration, NOTHING, share } from '../report/figures.js';
import { page } from '../report/page.js';
import { Facts, Table } from '../report/table.js';
import { Verdict } from '../report/verdict.js';
import { ConsistencySection } from './consistency-section.js';
import { Examples } from './examples.js';
import type { InspectReport, Item, Oddity, SentencesPart, StreamFacts, ViolationCount } from './inspect-report.js';
import { PositionSection } from './position-section.js';
import { SatellitesSection } from './satellites-section.js';
import { TimingSection } from './timing-section.js';

/** What is bad comes first. */
const ORDER: Readonly<Record<Item['verdict'], number>> = { bad: 0, remark: 1, untested: 2, good: 3 };
/** What a violation of the format tells. */
const WEIGHTS: Readonly<Record<ViolationCount['weight'], string>> = {
  damage: 'damage: not what was sent',
  breach: 'against the standard',
  variant: 'a variant that modules in use have',
};

/**
 * What an inspection found, as a page: verdicts with their reasons, then sentences, position, satellites and timing.
 * @returns a whole HTML document that needs nothing else
 */
export function inspectPage(report: InspectReport, caution: string): string {
  const { stream, verdict, items, oddities } = report;
  return page({
    title: `${verdict}: ${stream.name}`,
    caution,
    children: (
      <>
        <h1>{stream.name}</h1>
        <p>
          <Verdict verdict={verdict} />
          {` ${summaryOf(items)}`}
        </p>
        <StreamSummary stream={stream} version={report.version} />
        <h2>Verdicts</h2>
        <ul class="items">
          {[...items].sort(byVerdict).map((item) => (
            <li>
              <Verdict verdict={item.verdict} />
              <strong>{item.title}</strong>
              <p style="margin:0">{item.reason}</p>
            </li>
          ))}
        </ul>
        {oddities.length > 0 && <Oddities oddities={oddities} />}
        <PositionSection position={report.position} />
        <ConsistencySection motion={report.motion} agreement={report.agreement} />
        <SatellitesSection satellites={report.satellites} antenna={report.antenna} />
        <TimingSection timing={report.timing} fix={report.fix} time={report.time} />
        <Sentences sentences={report.sentences} />
      </>
    ),
  });
}

function byVerdict(a: { readonly verdict: Item['verdict'] }, b: { readonly verdict: Item['verdict'] }): number {
  return ORDER[a.verdict] - ORDER[b.verdict];
}

function summaryOf(items: readonly Item[]): string {
  const tally = (verdict: Item['verdict']) => items.filter((item) => item.verdict === verdict).length;
  return `${tally('good')} good, ${tally('remark')} with a remark, ${tally('bad')} bad, ${tally('untested')} untested.`;
}

function StreamSummary({ stream, version }: { readonly stream: StreamFacts; readonly version: string }): JSX.Element {
  const kinds = { file: 'a file', 'standard-input': 'standard input', port: 'a port' } as const;
  const facts: [string, ComponentChildren][] = [
    ['read from', kinds[stream.kind]],
    [
      'speed of the line',
      stream.baud === null ? NOTHING : `${decimal(stream.baud, 0)} baud${stream.isBaudFound ? ', found' : ''}`,
    ],
    ['length', duration(stream.durationS)],
    ['first time told (UTC)', stream.firstUtc ?? NOTHING],
    ['last time told (UTC)', stream.lastUtc ?? NOTHING],
    ['epochs', count(stream.epochs)],
    ['lines', count(stream.lines)],
    ['bytes', count(stream.bytes)],
    ['bytes in no sentence', `${count(stream.noiseBytes)}, ${count(stream.binaryBytes)} of them binary`],
    ['Lodestub', version],
  ];
  return (
    <>
      <Facts facts={facts} />
      {stream.gone !== null && <p>{`The port went before the listening ended: ${stream.gone}.`}</p>}
      {stream.isCutOff && <p class="soft">The stream ends in the middle of a sentence.</p>}
    </>
  );
}

function Oddities({ oddities }: { readonly oddities: readonly Oddity[] }): JSX.Element {
  const sorted = [...oddities].sort((a, b) => ORDER[a.severity] - ORDER[b.severity] || b.count - a.count);
  return (
    <>
      <h2>Odd things from the field that it shows</h2>
      {sorted.map((oddity) => (
        <section class={`expectation ${oddity.severity === 'bad' ? 'failed' : ''}`}>
          <h4>
            <Verdict verdict={oddity.severity} />
            {oddity.id}
            <span class="soft">{`${count(oddity.count)}×`}</span>
          </h4>
          <p>{oddity.sees}</p>
          <p class="soft">{`What it has done: ${oddity.harm}`}</p>
          <Examples examples={oddity.examples} />
        </section>
      ))}
    </>
  );
}

function Sentences({ sentences }: { readonly sentences: SentencesPart }): JSX.Element {
  const { counts, talkers, version, versionEvidence, checksums, violations } = sentences;
  return (
    <>
      <h2>Sentences</h2>
      <Facts
        facts={[
          ['version', version ?? NOTHING],
          ['told by', versionEvidence.length > 0 ? versionEvidence.join('; ') : NOTHING],
          ['talkers', talkers.join(' ')],
          [
            'checksums',
            `${count(checksums.good)} good, ${count(checksums.bad)} bad, ${count(checksums.absent)} absent`,
          ],
          ['malformed checksums', count(checksums.malformed)],
        ]}
      />
      <Table
        columns={[
          { head: 'sentence', isCode: true },
          { head: 'count', isFigure: true },
          { head: 'per epoch', isFigure: true },
          { head: 'every so many epochs', isFigure: true },
          { head: 'bad checksums', isFigure: true },
          { head: 'bytes', isFigure: true },
        ]}
        rows={counts.map((row) => [
          row.address,
          count(row.count),
          decimal(row.perEpoch, 2),
          count(row.everyEpochs),
          row.badChecksums === 0 ? '0' : `${count(row.badChecksums)} (${share(row.badChecksums / row.count)})`,
          count(row.bytes),
        ])}
      />
      {checksums.examples.length > 0 && (
        <>
          <h3>Checksums that are wrong</h3>
          <Examples examples={checksums.examples} />
        </>
      )}
      <h3>Against the format</h3>
      {violations.length === 0 && <p>Nothing was found.</p>}
      {violations.map((violation) => (
        <section class={`expectation ${violation.weight === 'variant' ? '' : 'failed'}`}>
          <h4>
            {violation.title}
            <span class="soft">{WEIGHTS[violation.weight]}</span>
            <span class="soft">{`${count(violation.count)}×, ${violation.addresses.join(' ') || 'no sentence'}`}</span>
          </h4>
          <Examples examples={violation.examples} />
        </section>
      ))}
    </>
  );
}
