import { beforeAll, describe, expect, it } from 'vitest';
import { skyView } from '../../src/cli/sky-view.js';
import { type LineFacts, statusText } from '../../src/cli/status-line.js';
import { offersOf } from '../../src/control/offers.js';
import type { EpochStep } from '../../src/run/output.js';
import type { Scenario } from '../../src/scenario/scenario.js';
import { Controlled } from '../control/helper.js';
import { epochText, latin1, playScenario, scenarioOf, sentence } from './helper.js';

const FACTS: LineFacts = {
  sentBytes: 0,
  lostBytes: 0,
  load: 0.1,
  baud: 115_200,
  hostBaud: null,
  isPaused: false,
  pace: 1,
  inForce: [],
};

const GSV = [
  'GPGSV,2,1,05,05,19,222,36,07,80,090,29,13,84,239,,14,56,052,',
  'GPGSV,2,2,05,30,,,',
  'GLGSV,1,1,01,79,61,298,38',
].map((body) => sentence(body));
const LOG = `${sentence('GNRMC,,V,,,,,,,,,,N')}${epochText('120000.00')}${GSV.join('')}${epochText('120001.00')}`;

let scenario: Scenario;
let steps: readonly EpochStep[];
beforeAll(async () => {
  scenario = await scenarioOf(latin1(LOG));
  ({ steps } = playScenario(scenario));
});

describe('whoever looks on while a recording is played', () => {
  it('reads in the status line that it is one, and what its sentences say', () => {
    expect(statusText(steps[0] as EpochStep, FACTS, 400)).toMatch(
      /^RECORDED 00:00:00 \| no fix \| used 0 of 0 \| - \|/,
    );
    const text = statusText(steps[1] as EpochStep, FACTS, 400);
    expect(text).toMatch(/^RECORDED 00:00:01 \| 3d fix \| used 9 of 6 \| 52\.38333, 9\.71667 \| /);
    expect(text).toContain('C/N0 mean/best 34/38 dB-Hz');
  });

  it('sees in the sky what the sentences list with a place, and claims no more', () => {
    const view = skyView((steps[1] as EpochStep).epoch, { columns: 100, rows: 30, head: 'head', foot: [] });
    const text = view?.text().join('\n') ?? '';
    expect(text).toContain('# used 0   o tracked 3   ? searched for 2   x hidden 0');
    for (const mark of ['o5', 'o7', 'o79', '?13', '?14']) expect(text).toContain(mark);
  });

  it('is offered the faults that act on one', () => {
    const names = offersOf(scenario).map(({ number, name }) => `${number} ${name}`);
    expect(names).toEqual(['1 silence', '2 bad-checksum', '3 cut-then-dollar', '4 garbage-bytes', '5 port-loss']);
  });

  it('is told by the control what is reported, and that the truth is not known', () => {
    const controlled = new Controlled(scenario);
    controlled.clock.move(1500);
    const status = controlled.live.status();
    expect(status).toMatchObject({ epoch: 1, fix: '3d', used: 9, inView: 6, truth: null });
    expect(status.utc).toBe('2022-02-18T12:00:00.000Z');
    expect(status.position).toMatchObject({ altitudeMslM: 84 });
  });

  it('steps through it, and starts and clears a fault at once', () => {
    const controlled = new Controlled(scenario);
    controlled.live.pause();
    controlled.live.step();
    const { id } = controlled.live.startOffer('silence');
    expect(controlled.live.inForce.map((each) => each.id)).toEqual([id]);
    controlled.live.clear(id);
    expect(controlled.live.inForce).toEqual([]);
  });
});
