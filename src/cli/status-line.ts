import type { RunWatch } from '../control/run-watch.js';
import type { EpochStep } from '../run/output.js';
import type { PlayedEpoch } from '../truth/recorded-epoch.js';

/** What a status line tells beside the epoch. */
export interface LineFacts {
  readonly sentBytes: number;
  readonly lostBytes: number;
  /** Share of the time that the line is busy. */
  readonly load: number;
  readonly baud: number;
  /** Null: no host has set its speed. */
  readonly hostBaud: number | null;
  readonly isPaused: boolean;
  readonly pace: number;
  /** Kinds of the faults and surroundings in force. */
  readonly inForce: readonly string[];
}

/** What is known of a run, for its status line. */
export function lineFacts(
  watch: RunWatch,
  baud: number,
  live: Pick<LineFacts, 'isPaused' | 'pace'> & { readonly inForce: ReadonlyArray<{ readonly kind: string }> },
): LineFacts {
  const { sentBytes, lostBytes, load, hostBaud } = watch;
  const { isPaused, pace } = live;
  const inForce = live.inForce.map(({ kind }) => kind);
  return { sentBytes, lostBytes, load, baud, hostBaud, isPaused, pace, inForce };
}

/**
 * What the line says, without colour: the most telling fields first, as many as fit.
 * @param width columns
 */
export function statusText({ epoch }: EpochStep, facts: LineFacts, width: number): string {
  const { report } = epoch;
  const tracked = report.inView.flatMap(({ cn0DbHz }) => (cn0DbHz === null ? [] : [cn0DbHz]));
  const { latitudeDeg, longitudeDeg } = report;
  const cn0 = tracked.length === 0 ? '-' : `${Math.round(meanOf(tracked))}/${Math.round(Math.max(...tracked))}`;
  const { sentBytes, lostBytes, load, baud, hostBaud, isPaused, pace, inForce } = facts;
  const fields = [
    `${epoch.truth === null ? 'RECORDED' : 'SIMULATED'} ${clockText(epoch.atMs)}`,
    ...(isPaused ? ['PAUSED'] : []),
    ...(pace === 1 ? [] : [`pace ${pace}`]),
    stateOf(epoch, tracked.length),
    ...inForce,
    ...(hostBaud === null || hostBaud === baud ? [] : [`host at ${hostBaud} baud, module at ${baud}`]),
    `used ${report.used.length} of ${report.inView.length}`,
    latitudeDeg === null || longitudeDeg === null ? '-' : `${latitudeDeg.toFixed(5)}, ${longitudeDeg.toFixed(5)}`,
    `line ${Math.round(load * 100)} %`,
    `C/N0 mean/best ${cn0} dB-Hz`,
    `${sentBytes} B${lostBytes === 0 ? '' : ` (${lostBytes} not read)`}`,
  ];
  return wholeFields(fields, width);
}

/** As many as fit, with a bar between. */
function wholeFields(fields: readonly string[], width: number): string {
  let text = '';
  for (const field of fields) {
    const longer = text === '' ? field : `${text} | ${field}`;
    if (longer.length > width) break;
    text = longer;
  }
  return text;
}

/** What the receiver is waiting for, or the kind of fix it has. */
function stateOf({ report, satellites, truth }: PlayedEpoch, tracked: number): string {
  if (report.fix !== 'none') return `${report.fix} fix`;
  // Nobody knows what the recorded receiver was waiting for.
  if (truth === null) return 'no fix';
  if (tracked > 0) return report.timeKnown ? `tracking ${tracked}, reading orbits` : `tracking ${tracked}, no time yet`;
  const searching = satellites.filter(({ state }) => state === 'searching').length;
  return searching > 0 ? `searching ${searching}` : 'no signal';
}

function clockText(atMs: number): string {
  const totalS = Math.floor(atMs / 1000);
  const part = (value: number) => String(value).padStart(2, '0');
  return `${part(Math.floor(totalS / 3600))}:${part(Math.floor(totalS / 60) % 60)}:${part(totalS % 60)}`;
}

function meanOf(values: readonly number[]): number {
  return values.length === 0 ? 0 : values.reduce((sum, value) => sum + value, 0) / values.length;
}
