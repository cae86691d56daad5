import { describe, expect, it } from 'vitest';
import { ecefFromGeodetic } from '../../../src/base/frames.js';
import { RandomStreams } from '../../../src/base/random.js';
import type { ArrivingSignal } from '../../../src/sim/signal/arriving-signal.js';
import { Signals, type Surroundings } from '../../../src/sim/signal/signal.js';
import { gpsBaseline } from '../../../src/sim/sky/gps-baseline.js';
import type { Satellite } from '../../../src/sim/sky/orbit.js';
import { Sky } from '../../../src/sim/sky/sky.js';
import { START } from '../receiver/still.js';

const DEG = Math.PI / 180;
const PLACE = {
  position: ecefFromGeodetic({ latitudeDeg: 52, longitudeDeg: 4, heightM: 0 }),
  velocity: { xM: 0, yM: 0, zM: 0 },
  latitudeRad: 52 * DEG,
  longitudeRad: 4 * DEG,
};

type Heard = Array<{ id: string; cn0DbHz: number; elevationDeg: number }>;

function listen(
  count: number,
  surroundings: (i: number) => Surroundings = () => 'open',
  all = gpsBaseline(START),
): Heard[] {
  const sky = new Sky(all);
  const signals = new Signals('good', new RandomStreams(2), 1);
  const arriving: ArrivingSignal[] = [];
  return Array.from({ length: count }, (_, i) => {
    sky.look(i, PLACE);
    signals.arriving(sky.views, surroundings(i), arriving);
    return arriving.map(({ id, cn0DbHz, elevationDeg }) => ({ id, cn0DbHz, elevationDeg }));
  });
}

describe('arriving signals', () => {
  it('are those of satellites above the horizon, in order, whatever the order of the sky', () => {
    const [heard] = listen(1);
    const [reversed] = listen(1, () => 'open', gpsBaseline(START).reverse());
    expect(reversed).toEqual(heard);
    const ids = heard!.map(({ id }) => id);
    expect(ids).toEqual([...ids].sort());
    expect(ids.length).toBeGreaterThan(5);
    expect(heard!.every(({ elevationDeg }) => elevationDeg > 0)).toBe(true);
  });

  it('in a tunnel nothing arrives; afterwards the fading goes on as if it had been open sky', () => {
    const open = listen(20);
    const through = listen(20, (i) => (i >= 5 && i < 15 ? 'tunnel' : 'open'));
    for (const [i, signals] of through.entries()) {
      if (i >= 5 && i < 15) expect(signals.every(({ cn0DbHz }) => cn0DbHz === -Infinity)).toBe(true);
      else expect(signals).toEqual(open[i]);
    }
  });

  it('a satellite more or less does not move the others’ fading', () => {
    const all = listen(10);
    const gone = all[0]![2]!.id;
    const without = listen(
      10,
      () => 'open',
      gpsBaseline(START).filter(({ id }: Satellite) => id !== gone),
    );
    for (const [i, signals] of without.entries()) expect(signals).toEqual(all[i]!.filter(({ id }) => id !== gone));
  });

  it('fade slowly: from second to second by a fraction of what they vary over minutes', () => {
    const heard = listen(1200);
    const id = heard[0]!.toSorted((a, b) => b.elevationDeg - a.elevationDeg)[0]!.id;
    const levels = heard.map((signals) => signals.find((signal) => signal.id === id)?.cn0DbHz as number);
    const steps = levels.slice(1).map((level, i) => Math.abs(level - levels[i]!));
    expect(Math.max(...steps)).toBeLessThan(1);
    expect(Math.max(...levels) - Math.min(...levels)).toBeGreaterThan(1);
  });
});
