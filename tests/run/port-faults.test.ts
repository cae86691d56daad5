import { describe, expect, it } from 'vitest';
import type { Bunching } from '../../src/emit/module-profile.js';
import type { ModulePort } from '../../src/emit/ports/port.js';
import type { FaultKind } from '../../src/faults/fault.js';
import { backlog } from '../../src/faults/kinds/backlog.js';
import { bunchedDelivery } from '../../src/faults/kinds/bunched-delivery.js';
import { portLoss } from '../../src/faults/kinds/port-loss.js';
import { portRefusal } from '../../src/faults/kinds/port-refusal.js';
import type { Occurrence } from '../../src/faults/occurrence.js';
import { PortFaults } from '../../src/run/port-faults.js';

let count = 0;

/** One occurrence, as the engine makes it. */
function occurrence(
  fault: FaultKind,
  beginMs: number,
  endMs: number,
  settings: Readonly<Record<string, unknown>> = {},
): Occurrence<'port'> {
  count++;
  const parsed = fault.settings.parse(settings);
  const effect = fault.create(parsed, { uniform: () => 0.5, normal: () => 0 }) as Occurrence<'port'>['effect'];
  return { id: `${count}.1`, rank: count, kind: fault.name, stage: 'port', beginMs, endMs, settings: parsed, effect };
}

/** Port faults whose port writes down what is done to it. */
function harness(backlogBytes = 0) {
  const done: string[] = [];
  let nowMs = 0;
  const note = (text: string) => void done.push(`${nowMs} ${text}`);
  const port: ModulePort = {
    name: 'noted',
    write: () => 0,
    vanish: (hangUp) => note(`vanish ${hangUp}`),
    comeBack: (as) => note(`back ${as}`),
    refuse: (isRefusing) => note(`refuse ${isRefusing}`),
    keep: (bytes) => note(`keep ${bytes}`),
    close: async () => {},
  };
  const bunch = (bunching: Bunching | null) => note(`bunch ${bunching === null ? null : bunching.packetBytes}`);
  const faults = new PortFaults(port, { bunch, backlogBytes });
  return {
    done,
    faults,
    /** Goes on from event to event, as a run does. */
    playTo(untilMs: number) {
      while (faults.nextMs <= untilMs) {
        nowMs = faults.nextMs;
        faults.act(nowMs);
      }
      nowMs = untilMs;
    },
  };
}

function played(...occurrences: Occurrence<'port'>[]): string[] {
  const { faults, done, playTo } = harness();
  for (const each of occurrences) faults.add(each);
  playTo(1e6);
  return done;
}

describe('faults of the port', () => {
  it('begin and end when their time comes, and are waited for', () => {
    const { faults, done, playTo } = harness();
    expect(faults.nextMs).toBe(Infinity);
    faults.add(occurrence(portLoss, 200, 500));
    faults.add(occurrence(portRefusal, 100, Infinity));
    expect(faults.nextMs).toBe(100);
    playTo(199.9);
    expect(done).toEqual(['100 refuse true']);
    playTo(200);
    expect(faults.nextMs).toBe(500);
    playTo(1e9);
    expect(done).toEqual(['100 refuse true', '200 vanish true', '500 back same']);
    expect(faults.nextMs).toBe(Infinity);
  });

  it('are all gone through where time makes a leap', () => {
    const { faults, done } = harness();
    faults.add(occurrence(portLoss, 300, 400, { back: 'other' }));
    faults.add(occurrence(portLoss, 100, 200));
    faults.act(1000);
    expect(done.map((text) => text.slice(2))).toEqual(['vanish true', 'back same', 'vanish true', 'back other']);
  });

  it('that end and begin at one instant: the end comes first', () => {
    expect(played(occurrence(portLoss, 100, 200), occurrence(portLoss, 200, 300))).toEqual([
      '100 vanish true',
      '200 back same',
      '200 vanish true',
      '300 back same',
    ]);
  });

  it('cleared by hand end then, and do nothing if they had not begun', () => {
    const { faults, done, playTo } = harness();
    const [early, late] = [occurrence(portLoss, 100, 900), occurrence(portRefusal, 600, 900)];
    faults.add(early);
    faults.add(late);
    playTo(400);
    early.endMs = 450;
    late.endMs = 500;
    expect(faults.nextMs).toBe(450);
    playTo(1000);
    expect(done).toEqual(['100 vanish true', '450 back same']);
  });

  it('need no port', () => {
    const faults = new PortFaults(null, { bunch() {}, backlogBytes: 100 });
    for (const kind of [portLoss, portRefusal, bunchedDelivery, backlog]) faults.add(occurrence(kind, 0, 10));
    faults.act(20);
    expect(faults.nextMs).toBe(Infinity);
  });
});

describe('faults of one sort that overlap', () => {
  it('keep the port away until the last is over', () => {
    for (const [a, b] of [
      [100, 400],
      [400, 100],
    ] as const) {
      const done = played(occurrence(portLoss, 0, 300 + a), occurrence(portLoss, 50, 300 + b));
      expect(done).toEqual(['0 vanish true', '50 vanish true', '700 back same']);
    }
  });

  it('hang up where any of them does', () => {
    const silent = { 'hang-up': false };
    expect(played(occurrence(portLoss, 0, 500, silent), occurrence(portLoss, 50, 300))).toEqual([
      '0 vanish false',
      '50 vanish true',
      '500 back same',
    ]);
  });

  it('bring it back under another name if any of them is to, and the next one does not', () => {
    const other = { back: 'other' };
    const done = played(
      occurrence(portLoss, 0, 300, other),
      occurrence(portLoss, 50, 500),
      occurrence(portLoss, 600, 700),
    );
    expect(done.filter((text) => text.includes('back'))).toEqual(['500 back other', '700 back same']);
  });

  it('refuse hosts until the last is over', () => {
    expect(played(occurrence(portRefusal, 0, 300), occurrence(portRefusal, 100, 200))).toEqual([
      '0 refuse true',
      '300 refuse false',
    ]);
  });

  it('bunch as that which began last, then as that which is left, then as the profile says', () => {
    const [long, short] = [{ packet: 10 }, { packet: 20 }];
    expect(played(occurrence(bunchedDelivery, 0, 500, long), occurrence(bunchedDelivery, 100, 200, short))).toEqual([
      '0 bunch 10',
      '100 bunch 20',
      '200 bunch 10',
      '500 bunch null',
    ]);
    expect(played(occurrence(bunchedDelivery, 0, 200, long), occurrence(bunchedDelivery, 100, 500, short))).toEqual([
      '0 bunch 10',
      '100 bunch 20',
      '500 bunch null',
    ]);
  });

  it('keep the longest backlog that any asks for, the profile included', () => {
    const { faults, done, playTo } = harness(1000);
    faults.add(occurrence(backlog, 100, 600, { size: 5000 }));
    faults.add(occurrence(backlog, 200, 900, { size: 3000 }));
    faults.add(occurrence(backlog, 300, 950, { size: 500 }));
    playTo(1e6);
    expect(done).toEqual(['0 keep 1000', '100 keep 5000', '600 keep 3000', '900 keep 1000']);
  });
});
