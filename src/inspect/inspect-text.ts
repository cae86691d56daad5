import type { InspectReport, Item } from './inspect-report.js';
import { detailLines } from './text-details.js';
import { wrapped } from './text-lines.js';

/** How a report is shown. */
export interface TextStyle {
  /** Columns, 60 or more. */
  readonly columns: number;
  /** Colours a verdict's word; left out: none. */
  readonly paint?: (verdict: Item['verdict'], word: string) => string;
}

const VERDICT_COLUMNS = 9;
const TITLE_COLUMNS = 18;

/** A report for the terminal: the verdicts first, each with its reason, then what they rest on. */
export function inspectText(report: InspectReport, { columns, paint = (_verdict, word) => word }: TextStyle): string {
  const { stream, verdict, items, caution } = report;
  const span = stream.firstUtc === null ? '' : `, ${stream.firstUtc} to ${stream.lastUtc ?? '?'}`;
  const speed = stream.baud === null ? '' : `, ${stream.baud} baud${stream.isBaudFound ? ' (found)' : ''}`;
  const lines = [
    ...wrapped(`${stream.name}${span}${speed}`, columns),
    `verdict: ${paint(verdict, verdict)} (${summaryOf(items)})`,
    '',
    ...items.flatMap((item) => itemLines(item, columns, paint)),
    ...detailLines(report, columns),
    '',
    ...wrapped(caution.replaceAll('\n', ' '), columns),
  ];
  return `${lines.join('\n')}\n`;
}

function summaryOf(items: readonly Item[]): string {
  const count = (verdict: Item['verdict']) => items.filter((item) => item.verdict === verdict).length;
  const all = (['bad', 'remark', 'good', 'untested'] as const).map((verdict) => [count(verdict), verdict] as const);
  return all
    .filter(([many]) => many > 0)
    .map(([many, verdict]) => `${many} ${verdict}`)
    .join(', ');
}

function itemLines(
  { verdict, title, reason }: Item,
  columns: number,
  paint: NonNullable<TextStyle['paint']>,
): string[] {
  const from = VERDICT_COLUMNS + TITLE_COLUMNS;
  const [first = '', ...rest] = wrapped(reason, columns - from);
  const word = paint(verdict, verdict) + ' '.repeat(Math.max(1, VERDICT_COLUMNS - verdict.length));
  return [`${word}${title.padEnd(TITLE_COLUMNS)}${first}`, ...rest.map((line) => ' '.repeat(from) + line)];
}
