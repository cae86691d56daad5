import picocolors from 'picocolors';
import { BITS_PER_BYTE } from '../base/constants.js';
import type { EpochStep } from '../run/output.js';
import type { Scenario } from '../scenario/scenario.js';
import type { Epoch } from '../sim/epoch.js';

/** How often the line is drawn, ms. */
const REDRAW_MS = 250;
/** Epochs over which the load of the line is averaged. */
const LOAD_EPOCHS = 10;

/**
 * One live line in a terminal: state, satellites used of in view, C/N0, position, bytes and load of the line, faults.
 * Nothing is drawn where the output is no terminal.
 */
export class StatusLine {
  readonly #scenario: Scenario;
  readonly #out: NodeJS.WriteStream;
  #step: EpochStep | null = null;
  #sentBytes = 0;
  /** Of them, until the last epoch. */
  #seenBytes = 0;
  #lostBytes = 0;
  readonly #epochBytes: number[] = [];
  #timer: NodeJS.Timeout | null = null;

  constructor(scenario: Scenario, out: NodeJS.WriteStream) {
    this.#scenario = scenario;
    this.#out = out;
  }

  open(): void {
    if (!this.#out.isTTY) return;
    this.#timer = setInterval(() => this.#draw(), REDRAW_MS);
  }

  see(step: EpochStep): void {
    this.#step = step;
    this.#epochBytes.push(this.#sentBytes - this.#seenBytes);
    this.#seenBytes = this.#sentBytes;
    if (this.#epochBytes.length > LOAD_EPOCHS) this.#epochBytes.shift();
  }

  count(sentBytes: number, lostBytes: number): void {
    this.#sentBytes += sentBytes;
    this.#lostBytes += lostBytes;
  }

  close(): void {
    if (this.#timer === null) return;
    clearInterval(this.#timer);
    this.#draw();
    this.#out.write('\n');
  }

  #draw(): void {
    if (this.#step === null) return;
    const width = this.#out.columns ?? 80;
    const { baud, epochMs } = this.#scenario.module;
    const load = meanOf(this.#epochBytes) / ((baud / BITS_PER_BYTE) * (epochMs / 1000));
    const text = statusText(this.#step, { sentBytes: this.#sentBytes, lostBytes: this.#lostBytes, load }, width - 1);
    const { fix } = this.#step.epoch.report;
    const paint = fix === 'none' ? picocolors.yellow : fix === '2d' ? picocolors.cyan : picocolors.green;
    this.#out.write(`\r\x1b[2K${paint(text)}`);
  }
}

/**
 * What the line says, without colour: the most telling fields first, as many as fit.
 * @param width columns
 */
export function statusText(
  { epoch, faults }: EpochStep,
  line: { readonly sentBytes: number; readonly lostBytes: number; readonly load: number },
  width: number,
): string {
  const { report } = epoch;
  const tracked = report.inView.flatMap(({ cn0DbHz }) => (cn0DbHz === null ? [] : [cn0DbHz]));
  const { latitudeDeg, longitudeDeg } = report;
  const cn0 = tracked.length === 0 ? '-' : `${Math.round(meanOf(tracked))}/${Math.round(Math.max(...tracked))}`;
  const lost = line.lostBytes === 0 ? '' : ` (${line.lostBytes} not read)`;
  const fields = [
    `SIMULATED ${clockText(epoch.atMs)}`,
    stateOf(epoch, tracked.length),
    ...faults.map(({ kind }) => kind),
    `used ${report.used.length} of ${report.inView.length}`,
    latitudeDeg === null || longitudeDeg === null ? '-' : `${latitudeDeg.toFixed(5)}, ${longitudeDeg.toFixed(5)}`,
    `line ${Math.round(line.load * 100)} %`,
    `C/N0 mean/best ${cn0} dB-Hz`,
    `${line.sentBytes} B${lost}`,
  ];
  let text = '';
  for (const field of fields) {
    const longer = text === '' ? field : `${text} | ${field}`;
    if (longer.length > width) break;
    text = longer;
  }
  return text;
}

/** What the receiver is waiting for, or the kind of fix it has. */
function stateOf({ report, satellites }: Epoch, tracked: number): string {
  if (report.fix !== 'none') return `${report.fix} fix`;
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
