import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import type { OpenModuleOptions } from '../../src/index.js';
import { type EpochLine, linesOf, type Played, playRun, type RunLine, type SentenceLine } from '../run/helper.js';
import { inspectText, itemOf } from './helper.js';

/** A place, 430 m above the sea. */
const PLACE = { latitudeDeg: 47.1, longitudeDeg: 8.2, altitudeMslM: 430 };
const BASE = [
  'lodestub: 1',
  'seed: 5',
  'start: 2026-03-01T12:00:00Z',
  'duration: 300 s',
  'receiver: { start: hot }',
  'module: { decimals: { minutes: 7 }, long-lines: true }',
  'route: [{ hold: 300 s, at: [47.1, 8.2, 430 m] }]',
];

async function play(...lines: readonly string[]): Promise<Played> {
  const keyOf = (line: string) => line.slice(0, line.indexOf(':'));
  const replaced = new Set(lines.map(keyOf));
  const yaml = [...BASE.filter((line) => !replaced.has(keyOf(line))), ...lines].join('\n');
  return playRun({ scenario: parse(yaml) as OpenModuleOptions['scenario'] });
}

const textOf = ({ bytes }: Played) => bytes.toString('latin1');
const M_PER_DEG = 111_320;

describe('a stream whose truth is on record', () => {
  it('gets the offset from the reference that the journal’s errors have on average', async () => {
    const played = await play();
    const { position } = inspectText(textOf(played), { reference: PLACE });
    const errors = linesOf(played.journal, 'epoch')
      .filter(({ report }: EpochLine) => report.latitudeDeg !== null && report.status === 'A')
      .map(({ report }: EpochLine) => ({
        northM: ((report.latitudeDeg as number) - PLACE.latitudeDeg) * 111_177,
        eastM:
          ((report.longitudeDeg as number) - PLACE.longitudeDeg) *
          M_PER_DEG *
          Math.cos((PLACE.latitudeDeg * Math.PI) / 180),
        upM: (report.altitudeMslM as number) - PLACE.altitudeMslM,
      }));
    const mean = (of: (each: (typeof errors)[number]) => number) =>
      errors.reduce((sum, each) => sum + of(each), 0) / errors.length;
    /** Metres of a degree are taken for constants here: to 0.5 % of errors of metres. */
    const ROUGH_M = 0.03;
    /** Heights are written to 0.1 m. */
    const ROUNDING_M = 0.05;
    expect(position.about).toBe('reference');
    expect(position.count).toBe(errors.length);
    expect(Math.abs((position.offset?.northM as number) - mean((each) => each.northM))).toBeLessThan(ROUGH_M);
    expect(Math.abs((position.offset?.eastM as number) - mean((each) => each.eastM))).toBeLessThan(ROUGH_M);
    expect(Math.abs((position.offset?.upM as number) - mean((each) => each.upM))).toBeLessThan(ROUNDING_M);
  });

  it('is held against a false reference, and found wrong', async () => {
    const reference = { ...PLACE, latitudeDeg: PLACE.latitudeDeg + 0.001 };
    const report = inspectText(textOf(await play('duration: 60 s')), { reference });
    expect(itemOf(report, 'position').verdict).toBe('bad');
    expect(Math.abs((report.position.error?.medianM as number) - 111.2)).toBeLessThan(5);
    expect(report.verdict).toBe('bad');
  });

  it('says so where the antenna moves: scatter means nothing then', async () => {
    const route = 'route: [{ hold: 10 s, at: [47.1, 8.2, 430 m] }, { go: [47.1, 8.215], speed: 50 km/h }]';
    const played = await play('duration: 80 s', route);
    const report = inspectText(textOf(played));
    expect(report.position.isMoving).toBe(true);
    expect(report.position.scatter).toBeNull();
    expect(itemOf(report, 'position').verdict).toBe('untested');
    const speeds = (linesOf(played.journal, 'epoch') as readonly EpochLine[]).map(({ truth }) => truth.speedMps);
    const trueM = speeds.reduce((sum, speedMps) => sum + speedMps, 0);
    // Errors of the positions make a way longer; slow steps do not count.
    expect(Math.abs((report.position.distanceM as number) - trueM)).toBeLessThan(0.04 * trueM);
  });

  it('has the load of the line that the journal tells', async () => {
    const played = await play();
    const { baud } = linesOf(played.journal, 'run')[0] as RunLine;
    const { timing } = inspectText(textOf(played), { baud });
    const sentences = linesOf(played.journal, 'sentence') as readonly SentenceLine[];
    const spentMs = sentences.reduce((sum, { startMs, endMs }) => sum + endMs - startMs, 0);
    // The first epochs are shorter, and the inspection begins and ends with an epoch.
    const END_EFFECTS = 0.01;
    expect(Math.abs((timing.load as number) - spentMs / 300_000)).toBeLessThan(END_EFFECTS);
    expect(timing.fullestLoad).toBeGreaterThanOrEqual(timing.load as number);
    expect(itemOf(inspectText(textOf(played)), 'line-load').verdict).toBe('untested');
    expect(itemOf(inspectText(textOf(played), { baud: 4800 }), 'line-load').verdict).toBe('bad');
  });

  it.each([
    ['good', 'good'],
    ['patch', 'good'],
    ['poor', 'remark'],
  ])('has a healthy antenna or a weak one: %s', async (antenna, verdict) => {
    const report = inspectText(textOf(await play(`receiver: { start: hot, antenna: ${antenna} }`)));
    expect(itemOf(report, 'antenna.gps').verdict).toBe(verdict);
  });

  it.each([
    ['7 dB', 'remark'],
    ['13 dB', 'bad'],
  ])('has a weak antenna, or a bad one, where the cable takes %s', async (attenuation, verdict) => {
    const cable = `timeline: [{ at: 0 s, fault: antenna-fault, with: { state: lossy, attenuation: ${attenuation} } }]`;
    const report = inspectText(textOf(await play('receiver: { start: hot, antenna: good }', cable)));
    expect(itemOf(report, 'antenna.gps').verdict).toBe(verdict);
    expect(report.antenna.signals[0]?.medianDeviationDb).toBeLessThan(-5);
  });

  it.each(['open', 'short'])(
    'has an antenna that is suspected where satellites are listed and none is heard: %s',
    async (state) => {
      const report = inspectText(
        textOf(await play(`timeline: [{ at: 2 s, fault: antenna-fault, with: { state: ${state}, status: none } }]`)),
      );
      expect(itemOf(report, 'antenna').verdict).toBe('bad');
      expect(report.verdict).toBe('bad');
    },
  );

  it.each(['2.1', '2.3', '3.01', '4.00', '4.10', '4.11'])('is found to be of version %s', async (version) => {
    const report = inspectText(textOf(await play('duration: 20 s', `module: { version: '${version}' }`)));
    const found = { '2.1': '2.1', '2.3': '2.3 to 4.00', '3.01': '2.3 to 4.00', '4.00': '2.3 to 4.00' }[version];
    // GPS alone does not show what 4.11 has more than 4.10.
    expect(report.sentences.version).toBe(found ?? '4.10');
  });

  it('tells when the first fix came, and how often it was lost', async () => {
    const played = await play(
      'receiver: { start: cold }',
      'timeline: [{ at: 150 s, for: 20 s, surroundings: tunnel }]',
    );
    const { fix } = inspectText(textOf(played));
    const epochs = linesOf(played.journal, 'epoch') as readonly EpochLine[];
    const valid = epochs.filter(({ report }) => report.status === 'A');
    const boot = epochs.filter(({ index }) => index < ((valid[0] as EpochLine).index ?? 0)).length;
    expect(fix.validEpochs).toBe(valid.length);
    expect(fix.losses).toBe(1);
    // The module says nothing while it boots, and of the last epoch not all may have gone out.
    expect(Math.abs((fix.firstFixS as number) - boot)).toBeLessThanOrEqual(2);
    expect(Math.abs((fix.longestLossS as number) - 20)).toBeLessThanOrEqual(3);
  });

  it('shows silence as a gap, and a lost epoch as a small one', async () => {
    const silence = inspectText(textOf(await play('timeline: [{ at: 100 s, for: 30 s, fault: silence }]')));
    expect(itemOf(silence, 'gaps').verdict).toBe('bad');
    expect(Math.abs((silence.timing.longestGapS as number) - 31)).toBeLessThanOrEqual(1);
    expect(silence.timing.gapCount).toBe(1);
    expect(itemOf(inspectText(textOf(await play())), 'gaps').verdict).toBe('good');
  });

  it('is good throughout where nothing is wrong', async () => {
    const report = inspectText(textOf(await play()), { reference: PLACE, baud: 9600 });
    expect(report.items.filter(({ verdict }) => verdict === 'bad')).toEqual([]);
    expect(report.sentences.checksums.bad).toBe(0);
  });
});
