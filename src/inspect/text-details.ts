import { grouped, number, times } from '../base/words.js';
import type { AntennaSignal, InspectReport, Occurrence } from './inspect-report.js';
import { tableLines, wrapped } from './text-lines.js';

/** Examples that are shown of each. */
const EXAMPLES = 3;

/** What the verdicts rest on, in lines. */
export function detailLines(report: InspectReport, columns: number): string[] {
  return [
    ...section('Sentences', sentenceLines(report)),
    ...section('Wrong checksums', exampleLines(report.sentences.checksums.examples, columns)),
    ...section('Against the sentence format', violationLines(report, columns)),
    ...section('Gaps', gapLines(report, columns)),
    ...section('Velocity that the positions contradict', exampleLines(report.motion.examples, columns)),
    ...section('Sentences of one epoch at two places', placeLines(report, columns)),
    ...section('Satellites', systemLines(report)),
    ...section('C/N0 by elevation, dB-Hz: median (number), expected', report.antenna.signals.flatMap(signalLines)),
    ...section('Oddities', oddityLines(report, columns)),
  ];
}

function section(title: string, lines: readonly string[]): string[] {
  return lines.length === 0 ? [] : ['', title, ...lines];
}

function sentenceLines({ sentences }: InspectReport): string[] {
  const rows = sentences.counts.map(({ address, count, badChecksums, bytes, perEpoch, everyEpochs }) => [
    address,
    grouped(count),
    badChecksums === 0 ? '-' : grouped(badChecksums),
    grouped(bytes),
    perEpoch === null ? '-' : number(perEpoch, 2),
    everyEpochs === null ? '-' : String(everyEpochs),
  ]);
  return tableLines([['', 'count', 'wrong', 'bytes', 'an epoch', 'every'], ...rows], [1, 2, 3, 4, 5]);
}

function violationLines({ sentences }: InspectReport, columns: number): string[] {
  return sentences.violations.flatMap(({ title, weight, count, addresses, examples }) => [
    ...wrapped(`${title} (${weight}): ${grouped(count)}, ${addresses.join(' ') || 'damaged'}`, columns, '  ', '    '),
    ...examples
      .slice(0, EXAMPLES)
      .flatMap(({ line, at, what }) =>
        wrapped(`line ${line}${at === null ? '' : `, ${at}`}: ${what}`, columns, '    ', '      '),
      ),
  ]);
}

function exampleLines(examples: readonly Occurrence[], columns: number): string[] {
  return examples.slice(0, EXAMPLES).map((each) => cut(`  ${placeOf(each)}`, columns));
}

function gapLines({ timing }: InspectReport, columns: number): string[] {
  const longest = [...timing.gaps].sort((a, b) => b.lastsS - a.lastsS).slice(0, 5);
  const amid = longest
    .sort((a, b) => a.line - b.line)
    .map((gap) => cut(`  ${number(gap.lastsS, 2)} s before ${placeOf({ ...gap, text: '' })}`, columns));
  const { silentEndS } = timing;
  return silentEndS === null ? amid : [...amid, `  ${number(silentEndS, 2)} s at the end of the listening`];
}

function placeLines({ agreement }: InspectReport, columns: number): string[] {
  return agreement.places.flatMap(({ first, second, examples }) => {
    return examples.length === 0 ? [] : [`  ${first} and ${second}`, ...exampleLines(examples, columns)];
  });
}

function systemLines({ satellites }: InspectReport): string[] {
  const rows = satellites.systems.map(({ system, talkers, listed, heard, used }) => [
    system,
    talkers.join(' '),
    String(listed),
    String(heard),
    String(used),
  ]);
  return rows.length === 0 ? [] : tableLines([['', 'talkers', 'listed', 'heard', 'used'], ...rows], [2, 3, 4]);
}

function signalLines({ system, signal, bins, medianDeviationDb }: AntennaSignal): string[] {
  const name = `${system}${signal === null ? '' : `, signal ${signal}`}`;
  const off = medianDeviationDb === null ? '' : `: ${number(medianDeviationDb, 1)} dB from the expected, above 10 deg`;
  // Two bins side by side keep it short.
  const cells = bins.map(({ fromDeg, toDeg, medianDbHz, count, expectedDbHz }) => [
    `${fromDeg}-${toDeg} deg`,
    number(medianDbHz, 1),
    `(${count})`,
    expectedDbHz === null ? '' : number(expectedDbHz, 1),
  ]);
  const half = Math.ceil(cells.length / 2);
  const rows = cells.slice(0, half).map((row, i) => [...row, ...(cells[half + i] ?? [])]);
  return [`  ${name}${off}`, ...tableLines(rows, [0, 1, 2, 3, 4, 5, 6, 7], '    ')];
}

function oddityLines({ oddities }: InspectReport, columns: number): string[] {
  return oddities.flatMap(({ id, severity, count, sees, harm, examples: [first] }) => [
    ...wrapped(`${id}, ${times(count)}: ${sees}`, columns, `  ${severity.padEnd(8)}`, '          '),
    ...wrapped(`to hosts: ${harm}`, columns, '          '),
    ...(first === undefined ? [] : [cut(`          ${placeOf(first)}`, columns)]),
  ]);
}

function placeOf({ line, at, text }: Occurrence): string {
  return `line ${line}${at === null ? '' : `, ${at}`}${text === '' ? '' : `: ${text}`}`;
}

function cut(text: string, columns: number): string {
  return text.length > columns ? `${text.slice(0, columns - 1)}…` : text;
}
