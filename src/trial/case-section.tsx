import type { JSX } from 'preact';
import { cut } from '../base/visible.js';
import type { Band } from '../report/fault-strip.js';
import { count, decimal, duration, NOTHING } from '../report/figures.js';
import { gapOf } from '../report/gap-of.js';
import { Facts, Table } from '../report/table.js';
import { TimePlot } from '../report/time-plot.js';
import { TrackPlot } from '../report/track-plot.js';
import { Verdict } from '../report/verdict.js';
import type { FaultSpan } from './evidence.js';
import type { Around, CaseResult, DrawnPoint, Judged } from './result.js';

/** Of what the host wrote last so many lines are shown. */
const LAST_LINES = 40;
const LINE_CHARACTERS = 300;
/** Points that lie no further apart are always joined, s. */
const LEAST_GAP_S = 0.5;
const MS = 1000;

/** A case of a trial: closed to one line, or open with all that is on record of it. */
export function CaseSection(props: {
  readonly trialCase: CaseResult;
  readonly anchor: string;
  readonly isOpen: boolean;
  /** 1: as fine as a screen shows; 4: a quarter of that. */
  readonly coarseness: number;
}): JSX.Element {
  const { trialCase, anchor, isOpen, coarseness } = props;
  const { judged, problem, command } = trialCase;
  const passed = judged.filter(({ verdict }) => verdict === 'passed').length;
  return (
    <details class="case" id={anchor} open={isOpen}>
      <summary>
        <Verdict verdict={trialCase.verdict} />
        <span class="name">{trialCase.id}</span>
        <span class="soft">
          {`${passed} of ${judged.length} expectations, ${count(trialCase.reports)} reports, `}
          {`took ${duration(trialCase.tookMs / MS)}`}
        </span>
      </summary>
      {problem !== null && <p>{problem}</p>}
      <h3>Repeat it</h3>
      <pre>{command}</pre>
      {judged.length > 0 && <Expectations judged={judged} />}
      <CaseDrawings trialCase={trialCase} coarseness={coarseness} />
      {judged
        .filter(({ verdict }) => verdict !== 'passed')
        .map((finding) => (
          <Failure judged={finding} faults={trialCase.drawing.faults} />
        ))}
      <Faults faults={trialCase.drawing.faults} />
      <HostOutput trialCase={trialCase} />
    </details>
  );
}

function Expectations({ judged }: { readonly judged: readonly Judged[] }): JSX.Element {
  return (
    <>
      <h3>Expectations</h3>
      <Table
        columns={[
          { head: 'verdict' },
          { head: 'expected', isLong: true },
          { head: 'found', isLong: true },
          { head: 'measured', isFigure: true },
          { head: 'tested', isFigure: true },
        ]}
        rows={judged.map(({ verdict, name, reason, measured, tests }) => [
          <Verdict verdict={verdict} />,
          name,
          reason,
          measured === null ? NOTHING : decimal(measured, digitsOf(measured)),
          `${count(tests)}×`,
        ])}
      />
    </>
  );
}

/** Digits that a figure of unknown unit deserves: three or four in all. */
function digitsOf(value: number): number {
  if (Number.isInteger(value)) return 0;
  const size = Math.abs(value);
  if (size >= 100) return 1;
  return size >= 1 ? 2 : 3;
}

function CaseDrawings({ trialCase, coarseness }: { trialCase: CaseResult; coarseness: number }): JSX.Element | null {
  const { truth, module, reports, faults } = trialCase.drawing;
  if (truth.length + module.length + reports.length === 0) return null;
  const bands = faults.map(bandOf);
  const moments = trialCase.judged.flatMap(({ verdict, moments }) => (verdict === 'failed' ? moments : []));
  const errors = [
    { label: 'against the truth', tone: 'host' as const, key: 'truthErrorM' as const },
    { label: 'against what the module told', tone: 'module' as const, key: 'moduleErrorM' as const },
  ];
  return (
    <div class="drawings">
      <TrackPlot
        title="Track"
        truth={truth.map(placeOf)}
        module={module.map(placeOf)}
        reports={reports.map(placeOf)}
        bands={bands}
        gapS={gapBetween(module.length > 0 ? module : truth)}
        leastPx={0.8 * coarseness}
      />
      <TimePlot
        title="Error of the host’s reports"
        valueLabel="horizontal error (m)"
        spanS={[0, trialCase.lengthMs / MS]}
        series={errors
          .map(({ label, tone, key }) => ({
            label,
            tone,
            points: reports.map((report) => ({ tS: report.atMs / MS, value: report[key] })),
          }))
          .filter(({ points }) => points.some(({ value }) => value !== null))}
        bands={bands}
        momentsS={moments.map(({ atMs }) => atMs / MS)}
        momentsLabel="failed expectation"
        axis="auto"
        gapS={gapBetween(reports)}
        leastSpan={2}
        columnPx={2 * coarseness}
      />
    </div>
  );
}

function placeOf({ atMs, latitudeDeg, longitudeDeg }: DrawnPoint): { tS: number } & Omit<DrawnPoint, 'atMs'> {
  return { tS: atMs / MS, latitudeDeg, longitudeDeg };
}

function bandOf({ id, kind, beginMs, endMs }: FaultSpan): Band {
  return { label: `${id} ${kind}`, beginS: beginMs / MS, endS: endMs / MS };
}

function gapBetween(points: readonly DrawnPoint[]): number {
  return gapOf(
    points.map(({ atMs }) => atMs / MS),
    LEAST_GAP_S,
  );
}

/** A time of the case, to the millisecond. */
function at(atMs: number): string {
  return `${decimal(atMs / MS, 3)} s`;
}

function Failure({ judged, faults }: { readonly judged: Judged; readonly faults: readonly FaultSpan[] }): JSX.Element {
  const { verdict, name, reason, surroundings, moments } = judged;
  const others = moments.filter(({ atMs }) => !surroundings.some(({ moment }) => moment.atMs === atMs));
  return (
    <section class={`expectation ${verdict}`}>
      <h4>
        <Verdict verdict={verdict} />
        {name}
      </h4>
      <p>{reason}</p>
      {surroundings.map((around) => (
        <Stream around={around} faults={faults} />
      ))}
      {others.length > 0 && (
        <p class="soft">
          {`Also: ${others.map(({ atMs, what }) => `at ${at(atMs)}, ${cut(what, LINE_CHARACTERS)}`).join('; ')}.`}
        </p>
      )}
    </section>
  );
}

/** Sentences before a moment, the moment, and what the host said from then on. */
function Stream({ around, faults }: { readonly around: Around; readonly faults: readonly FaultSpan[] }): JSX.Element {
  const { moment, sentences, said } = around;
  const kinds = new Map(faults.map(({ id, kind }) => [id, kind]));
  return (
    <ol class="stream">
      {sentences.map(({ endMs, text, faults: ids }) => (
        <li class={ids.length > 0 ? 'damaged' : undefined}>
          <time>{at(endMs)}</time>
          <span>
            {cut(text, LINE_CHARACTERS)}
            {ids.length > 0 && <em>{`  ← ${ids.map((id) => `${id} ${kinds.get(id) ?? ''}`.trim()).join(', ')}`}</em>}
          </span>
        </li>
      ))}
      <li class="moment">
        <time>{at(moment.atMs)}</time>
        <span>{`✕ ${cut(moment.what, LINE_CHARACTERS)}`}</span>
      </li>
      {said.map(({ atMs, from, text }) => (
        <li>
          <time>{at(atMs)}</time>
          <span>
            <em>{`host, ${from}: `}</em>
            {cut(text, LINE_CHARACTERS)}
          </span>
        </li>
      ))}
      {said.length === 0 && (
        <li>
          <time />
          <span>
            <em>The host said nothing more.</em>
          </span>
        </li>
      )}
    </ol>
  );
}

function Faults({ faults }: { readonly faults: readonly FaultSpan[] }): JSX.Element | null {
  if (faults.length === 0) return null;
  return (
    <>
      <h3>Faults and surroundings</h3>
      <Table
        columns={[
          { head: 'id' },
          { head: 'what' },
          { head: 'from', isFigure: true },
          { head: 'to', isFigure: true },
          { head: 'with', isCode: true },
        ]}
        rows={faults.map(({ id, kind, beginMs, endMs, with: settings }) => [
          id,
          kind,
          at(beginMs),
          at(endMs),
          cut(JSON.stringify(settings), LINE_CHARACTERS),
        ])}
      />
    </>
  );
}

function HostOutput({ trialCase }: { readonly trialCase: CaseResult }): JSX.Element {
  const { reports, badReports, firstBad, otherLines, firstOther, lines, startUtc, lengthMs, tookMs } = trialCase;
  const last = lines.slice(-LAST_LINES);
  return (
    <>
      <h3>The host</h3>
      <Facts
        facts={[
          ['reports', count(reports)],
          ['reports that could not be read', count(badReports)],
          ['lines that are no reports', count(otherLines)],
          ['start (simulated UTC)', startUtc],
          ['length', duration(lengthMs / MS)],
          ['took', duration(tookMs / MS)],
        ]}
      />
      {firstBad !== null && (
        <>
          <p>{`The first report that could not be read: ${firstBad.why}.`}</p>
          <pre>{cut(firstBad.text, LINE_CHARACTERS)}</pre>
        </>
      )}
      {firstOther !== null && (
        <>
          <p>The first line that is no report:</p>
          <pre>{cut(firstOther, LINE_CHARACTERS)}</pre>
        </>
      )}
      {last.length === 0 ? (
        <p class="soft">It wrote nothing.</p>
      ) : (
        <>
          <p class="soft">{`The last ${last.length} lines that it wrote:`}</p>
          <ol class="stream">
            {last.map(({ atMs, from, text }) => (
              <li>
                <time>{at(atMs)}</time>
                <span>
                  {from === 'stderr' && <em>stderr: </em>}
                  {cut(text, LINE_CHARACTERS)}
                </span>
              </li>
            ))}
          </ol>
        </>
      )}
    </>
  );
}
