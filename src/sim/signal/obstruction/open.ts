import type { Obstruction, Passage } from './obstruction.js';

/** Nothing but the ground, whose reflections are in the fading of every place. */
export class OpenSky implements Obstruction {
  readonly fading = null;

  begin(): void {}

  pass(_view: unknown, _fade: number, out: Passage): void {
    out.lossDb = 0;
    out.multipathScale = 1;
    out.detourM = 0;
  }
}
