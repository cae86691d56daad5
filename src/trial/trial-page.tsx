import type { ComponentChildren, JSX } from 'preact';
import { count, duration } from '../report/figures.js';
import { page } from '../report/page.js';
import { type Column, Facts, Table } from '../report/table.js';
import { Verdict } from '../report/verdict.js';
import { CaseSection } from './case-section.js';
import { AXES } from './matrix.js';
import type { CaseResult, TrialResult } from './result.js';

/** So many failed cases are open when the page is; all of a large trial would take long to lay out. */
const OPEN_CASES = 12;
/** What worked last, what went wrong first. */
const ORDER: Readonly<Record<CaseResult['verdict'], number>> = { broken: 0, failed: 1, passed: 2 };

const AXIS_HEADS: Readonly<Record<(typeof AXES)[number], string>> = {
  scenario: 'scenario',
  module: 'module',
  seed: 'seed',
  faults: 'faults',
};

/**
 * A trial, or merged parts of one, as a page: all cases in a table, then each with its expectations, track, errors and
 * what went over the line around its failures.
 * @returns a whole HTML document that needs nothing else
 */
export function trialPage(result: TrialResult, caution: string): string {
  const cases = result.cases
    .map((trialCase, index) => ({ trialCase, anchor: `case-${index + 1}` }))
    .sort((a, b) => ORDER[a.trialCase.verdict] - ORDER[b.trialCase.verdict]);
  return page({
    title: `${verdictOf(result)}: ${result.title}`,
    caution,
    children: (
      <>
        <Head result={result} />
        <h2>Cases</h2>
        <CaseTable cases={cases} />
        <h2>Each case</h2>
        {cases.map(({ trialCase, anchor }, index) => (
          <CaseSection
            trialCase={trialCase}
            anchor={anchor}
            isOpen={trialCase.verdict !== 'passed' && index < OPEN_CASES}
            coarseness={coarseness(cases.length, trialCase)}
          />
        ))}
      </>
    ),
  });
}

/** Passed only where every case that was asked for is there and has passed; where some are missing it is not known. */
function verdictOf({ cases, casesAsked }: TrialResult): 'passed' | 'failed' | 'untested' {
  if (cases.some(({ verdict }) => verdict !== 'passed')) return 'failed';
  return cases.length > 0 && cases.length >= casesAsked ? 'passed' : 'untested';
}

/** How much coarser than a screen's pixels the drawings may be, so that the page of a large trial stays usable. */
function coarseness(cases: number, { verdict }: CaseResult): number {
  if (cases <= 40) return 1;
  const coarse = cases <= 150 ? 2 : 4;
  return verdict === 'passed' ? coarse : coarse / 2;
}

function Head({ result }: { readonly result: TrialResult }): JSX.Element {
  const { cases, casesInAll, casesAsked, shard } = result;
  const tally = (verdict: CaseResult['verdict']) => cases.filter((trialCase) => trialCase.verdict === verdict).length;
  const tookMs = cases.reduce((sum, trialCase) => sum + trialCase.tookMs, 0);
  const elsewhere = casesInAll - casesAsked;
  const unplayed = casesAsked - cases.length;
  const same = AXES.filter((axis) => valuesOf(cases, axis).size === 1);
  return (
    <>
      <h1>{result.title}</h1>
      <p>
        <Verdict verdict={verdictOf(result)} />
        {` ${count(tally('passed'))} of ${count(cases.length)} cases passed, ${count(tally('failed'))} failed, `}
        {`${count(tally('broken'))} could not be played.`}
      </p>
      {unplayed > 0 && (
        <p>{`${count(unplayed)} of ${count(casesAsked)} cases that were asked for were not played to their end.`}</p>
      )}
      {elsewhere > 0 && (
        <p class="soft">
          {`This is ${shard === null ? 'a part' : `part ${shard}`} of the trial: `}
          {`${count(elsewhere)} of ${count(casesInAll)} cases are not in it.`}
        </p>
      )}
      <Facts
        facts={[
          ...same.map((axis): [string, ComponentChildren] => [AXIS_HEADS[axis], [...valuesOf(cases, axis)][0]]),
          ['started (simulated UTC)', startOf(cases)],
          ['time of the cases together', duration(tookMs / 1000)],
          ['trial', result.file],
          ['digest', <code>{result.digest.slice(0, 16)}</code>],
          ['part', shard ?? 'all of it'],
          ['Lodestub', result.version],
        ]}
      />
    </>
  );
}

function startOf(cases: readonly CaseResult[]): string {
  const starts = new Set(cases.map(({ startUtc }) => startUtc));
  return starts.size === 0 ? '–' : starts.size === 1 ? ([...starts][0] as string) : `${starts.size} different times`;
}

function valuesOf(cases: readonly CaseResult[], axis: (typeof AXES)[number]): Set<string> {
  return new Set(cases.map((trialCase) => String(trialCase[axis])));
}

function CaseTable(props: {
  readonly cases: readonly { readonly trialCase: CaseResult; readonly anchor: string }[];
}): JSX.Element {
  const all = props.cases.map(({ trialCase }) => trialCase);
  if (all.length === 0) return <p>No case was played.</p>;
  const differing = AXES.filter((axis) => valuesOf(all, axis).size > 1);
  const columns: Column[] = [
    { head: 'verdict' },
    ...(differing.length === 0 ? [{ head: 'case' }] : []),
    ...differing.map((axis) => ({ head: AXIS_HEADS[axis], isFigure: axis === 'seed' })),
    { head: 'length', isFigure: true },
    { head: 'took', isFigure: true },
    { head: 'reports', isFigure: true },
    { head: 'unreadable', isFigure: true },
    { head: 'what failed', isLong: true },
  ];
  const rows = props.cases.map(({ trialCase, anchor }): ComponentChildren[] => [
    <a href={`#${anchor}`}>
      <Verdict verdict={trialCase.verdict} />
    </a>,
    ...(differing.length === 0 ? [trialCase.id] : []),
    ...differing.map((axis) => String(trialCase[axis])),
    duration(trialCase.lengthMs / 1000),
    duration(trialCase.tookMs / 1000),
    count(trialCase.reports),
    count(trialCase.badReports),
    whatFailed(trialCase),
  ]);
  return <Table columns={columns} rows={rows} />;
}

function whatFailed({ problem, judged }: CaseResult): string {
  const names = judged
    .filter(({ verdict }) => verdict !== 'passed')
    .map(({ name, verdict }) => (verdict === 'untested' ? `${name} (untested)` : name));
  return [...(problem === null ? [] : [problem]), ...names].join('; ');
}
