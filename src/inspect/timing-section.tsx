import type { ComponentChildren, JSX } from 'preact';
import { cut } from '../base/visible.js';
import { Bars } from '../report/bars.js';
import { count, duration, NOTHING, share, withUnit } from '../report/figures.js';
import { Facts, Table } from '../report/table.js';
import type { FixPart, TimePart, TimingPart } from './inspect-report.js';

const MS = 1000;
const GAPS = 20;

/** First fix and its losses, the rhythm of the epochs, the line's load, and what the stream says of time. */
export function TimingSection(props: {
  readonly timing: TimingPart;
  readonly fix: FixPart;
  readonly time: TimePart;
}): JSX.Element {
  const { timing, fix, time } = props;
  const source = timing.source === 'arrival' ? 'arrival' : 'their time stamps';
  return (
    <>
      <h2>Fix</h2>
      <Facts facts={fixFacts(fix)} />
      <h2>Timing and line</h2>
      <Facts facts={timingFacts(timing)} />
      {timing.histogram.length > 0 && (
        <div class="drawings">
          <Bars
            title={`Time from epoch to epoch, by ${source}`}
            xLabel="interval (ms)"
            yLabel="epochs"
            bars={timing.histogram}
          />
        </div>
      )}
      {timing.gaps.length > 0 && (
        <Table
          caption={`Gaps: ${count(timing.gapCount)}, the longest ${duration(timing.longestGapS)}`}
          columns={[
            { head: 'lasts', isFigure: true },
            { head: 'before line', isFigure: true },
            { head: 'at' },
            { head: 'text', isCode: true },
          ]}
          rows={timing.gaps
            .slice(0, GAPS)
            .map(({ lastsS, line, at, text }) => [duration(lastsS), count(line), at ?? NOTHING, cut(text, 120)])}
        />
      )}
      <h2>Time and date</h2>
      <Facts
        facts={[
          ['first date', time.firstDate ?? NOTHING],
          ['last date', time.lastDate ?? NOTHING],
          ['midnights that it turned with', count(time.midnights)],
          ['other steps of the date', stepsOf(time)],
          ['epochs with two times', count(time.mixedEpochs)],
          ['steps back', count(time.stepsBack)],
          ['repeated times', count(time.duplicates)],
          ['leap seconds', count(time.leapSeconds)],
          ['decimals of seconds', time.secondDecimals.join(', ') || NOTHING],
          ['stamp minus this machine’s clock', duration(time.clockOffsetS)],
        ]}
      />
    </>
  );
}

function stepsOf({ dateStepCount, dateSteps }: TimePart): string {
  const told = dateSteps.map(({ from, to, line }) => `${from} to ${to} before line ${count(line)}`);
  return dateStepCount === 0 ? count(0) : `${count(dateStepCount)}: ${told.join('; ')}`;
}

function fixFacts(fix: FixPart): [string, ComponentChildren][] {
  return [
    ['epochs with a fix', `${count(fix.validEpochs)} of ${count(fix.epochs)}, ${share(fix.validShare)}`],
    ['first fix after', duration(fix.firstFixS)],
    ['first fix on line', fix.firstFixAt === null ? NOTHING : count(fix.firstFixAt.line)],
    ['losses', count(fix.losses)],
    ['longest loss', duration(fix.longestLossS)],
    ['quality (GGA)', tallyOf(fix.qualities)],
    ['type (GSA)', tallyOf(fix.types)],
  ];
}

function timingFacts(timing: TimingPart): [string, ComponentChildren][] {
  const { delayMs } = timing;
  const load = (part: number | null, bytes: number | null) =>
    bytes === null ? NOTHING : `${count(bytes)} bytes/s${part === null ? '' : `, ${share(part)} of the line`}`;
  return [
    ['interval', timing.intervalS === null ? NOTHING : withUnit(timing.intervalS * MS, 0, 'ms')],
    ['jitter (r.m.s., gaps left out)', withUnit(timing.jitterMs, 1, 'ms')],
    ['gaps', count(timing.gapCount)],
    ['longest gap', duration(timing.longestGapS)],
    ['epochs whose stamp stands still', count(timing.stuck?.epochs ?? 0)],
    ['silence at the end of the listening', duration(timing.silentEndS)],
    ['mean load', load(timing.load, timing.bytesPerS)],
    ['fullest second', load(timing.fullestLoad, timing.fullestBytesPerS)],
    [
      'epoch to first byte',
      delayMs === null
        ? NOTHING
        : `${withUnit(delayMs.median, 0, 'ms')}, 95 % within ${withUnit(delayMs.p95, 0, 'ms')}`,
    ],
  ];
}

function tallyOf(tally: Readonly<Record<string, number>>): string {
  const entries = Object.entries(tally).sort((a, b) => b[1] - a[1]);
  return entries.length === 0 ? NOTHING : entries.map(([name, times]) => `${name}: ${count(times)}`).join(', ');
}
