import type { LiveControl } from '../control/live-control.js';
import { describeOffer } from '../control/offers.js';
import type { RunWatch } from '../control/run-watch.js';
import type { ModuleRun } from '../run/module-run.js';
import { CAUTION } from './caution.js';
import { coloursFor } from './colours.js';
import { skyView } from './sky-view.js';
import { lineFacts, statusText } from './status-line.js';
import { wrap } from './wrap.js';

/** How often the line is drawn, ms. */
const REDRAW_MS = 250;
/** The view is drawn at each epoch, but no more often, ms. */
const VIEW_MS = 100;

const CLEAR_LINE = '\x1b[2K';
const CLEAR_BELOW = '\x1b[J';
const ENTER_VIEW = '\x1b[?1049h\x1b[?25l';
const LEAVE_VIEW = '\x1b[?25h\x1b[?1049l';

const KEYS = ['space pause', '. step', '+ - pace', '1-9 start or clear', 'v sky', 'h help', 'q stop'];
const BAR = ' | ';

/** What a screen shows. */
export interface ScreenParts {
  readonly run: ModuleRun;
  readonly watch: RunWatch;
  readonly live: LiveControl;
}

/**
 * What a run shows in a terminal: one live line, or a view of the whole screen. Nothing is drawn where the output is no
 * terminal.
 */
export class Screen {
  readonly #out: NodeJS.WriteStream;
  readonly #parts: ScreenParts;
  readonly #colours: ReturnType<typeof coloursFor>;
  #timer: NodeJS.Timeout | null = null;
  /** Length of the line that stands there. */
  #drawn = 0;
  #isView = false;
  #hasKeys = false;
  #viewMs = 0;
  #unsaid = '';
  readonly #onResize = () => this.draw();
  readonly #onExit = () => this.#leaveView();
  readonly #listener = { epoch: () => this.#atEpoch(), record: () => {} };

  constructor(out: NodeJS.WriteStream, parts: ScreenParts) {
    this.#out = out;
    this.#parts = parts;
    this.#colours = coloursFor(out);
  }

  /** @param tick called with every redraw */
  open(tick: () => void): void {
    if (!this.#out.isTTY) return;
    this.#timer = setInterval(() => {
      tick();
      this.draw();
    }, REDRAW_MS);
    this.#out.on('resize', this.#onResize);
    process.on('exit', this.#onExit);
    this.#parts.watch.listen(this.#listener);
  }

  close(): void {
    if (this.#timer === null) return;
    clearInterval(this.#timer);
    this.#out.off('resize', this.#onResize);
    process.off('exit', this.#onExit);
    this.#parts.watch.forget(this.#listener);
    this.#leaveView();
    this.#drawLine();
    this.#out.write('\n');
    this.#drawn = 0;
  }

  /** Keys are taken from here on: says how to find out which. */
  greet(): void {
    if (!this.#hasKeys) this.say('keys: h lists them\n');
    this.#hasKeys = true;
  }

  /** Lists the keys, and what the digits start. */
  help(): void {
    if (this.#isView) return;
    const width = this.#width();
    this.say(`${[...wrap(KEYS, width, BAR), ...wrap(this.#offers(), width, BAR)].join('\n')}\n`);
  }

  /** Writes whole lines that stay, above the live line; while there is the view, once it is left. */
  say(text: string): boolean {
    if (this.#isView) {
      this.#unsaid += text;
      return true;
    }
    const isDone = this.#out.write(`${this.#drawn === 0 ? '' : this.#erase()}${text}`);
    this.#drawn = 0;
    this.draw();
    return isDone;
  }

  toggleView(): void {
    if (this.#timer === null) return;
    if (this.#isView) this.#leaveView();
    else {
      this.#out.write(`${this.#erase()}${ENTER_VIEW}`);
      this.#drawn = 0;
      this.#isView = true;
    }
    this.draw();
  }

  /** Leaves the terminal as it was found, until the next drawing. */
  rest(): void {
    this.#leaveView();
    if (this.#drawn > 0) this.#out.write('\n');
    this.#drawn = 0;
  }

  draw(): void {
    if (this.#isView) this.#drawView();
    else this.#drawLine();
  }

  #atEpoch(): void {
    // Pictures that follow one another faster than anybody can look cost time that the module needs.
    const nowMs = performance.now();
    if (!this.#isView || nowMs - this.#viewMs < VIEW_MS) return;
    this.#viewMs = nowMs;
    this.#drawView();
  }

  #drawLine(): void {
    const text = this.#status(this.#width());
    if (text === null || this.#timer === null) return;
    this.#out.write(`${this.#erase()}${this.#paint()(text)}`);
    this.#drawn = text.length;
  }

  #drawView(): void {
    const { columns = 80, rows = 24 } = this.#out;
    const { step } = this.#parts.watch;
    const head = this.#status(columns);
    if (step === null || head === null) return;
    const caution = wrap(CAUTION.split(/\s/), columns);
    const foot = [...wrap(this.#offers(true), columns, BAR), ...wrap(KEYS, columns, BAR), ...caution];
    const canvas = skyView(step.epoch, { columns, rows, head, foot });
    const { isColorSupported } = this.#colours;
    const small = [head, ...wrap(['too small for the sky,', 'v goes back'], columns), ...caution].slice(0, rows);
    const lines = canvas === null ? small : isColorSupported ? canvas.painted() : canvas.text();
    this.#out.write(`\x1b[H${lines.map((line) => `${line}\x1b[K`).join('\r\n')}${CLEAR_BELOW}`);
  }

  #leaveView(): void {
    if (!this.#isView) return;
    this.#isView = false;
    this.#out.write(`${LEAVE_VIEW}${this.#unsaid}`);
    this.#unsaid = '';
  }

  /** Takes away the line that stands there: a terminal that has become narrower has broken it into several. */
  #erase(): string {
    const rows = Math.max(1, Math.ceil(this.#drawn / (this.#out.columns ?? 80)));
    return rows === 1 ? `\r${CLEAR_LINE}` : `\r\x1b[${rows - 1}A${CLEAR_BELOW}`;
  }

  /** A line that fills the last column would go on in the next. */
  #width(): number {
    return Math.max(1, (this.#out.columns ?? 80) - 1);
  }

  #status(width: number): string | null {
    const { run, watch, live } = this.#parts;
    return watch.step === null ? null : statusText(watch.step, lineFacts(watch, run.baud, live), width);
  }

  #paint(): (text: string) => string {
    const fix = this.#parts.watch.step?.epoch.report.fix ?? 'none';
    const { yellow, cyan, green } = this.#colours;
    return fix === 'none' ? yellow : fix === '2d' ? cyan : green;
  }

  /** @param short names without their times */
  #offers(short = false): string[] {
    const { live } = this.#parts;
    return live.offers.map((offer) => {
      const text = short ? `${offer.number} ${offer.name}` : describeOffer(offer);
      return live.isOn(offer) ? `[${text}]` : text;
    });
  }
}
