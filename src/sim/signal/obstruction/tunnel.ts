import type { Obstruction, Passage } from './obstruction.js';

/** Rock lets nothing through that a receiver could find (tens of dB a metre: common practice). */
export class Tunnel implements Obstruction {
  readonly fading = null;

  begin(): void {}

  pass(_view: unknown, _fade: number, out: Passage): void {
    out.lossDb = Infinity;
    out.multipathScale = 1;
    out.detourM = 0;
  }
}
