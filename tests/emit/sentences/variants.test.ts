import { describe, expect, it } from 'vitest';
import { writeBanner, writeSentences } from '../../../src/emit/sentences/registry.js';
import { signalId, signalIdText } from '../../../src/emit/sentences/signal-id.js';
import type { SentenceName, SentenceStyle } from '../../../src/emit/sentences/style.js';
import type { Report } from '../../../src/sim/epoch.js';
import type { SignalName } from '../../../src/sim/signal/signal-kind.js';
import type { SystemName } from '../../../src/sim/sky/system.js';
import { ALL, bodyOf, FIX, inView, modes, NOTHING, style } from './helper.js';

function bodies(report: Report, name: SentenceName, how: Partial<SentenceStyle> = {}): string[] {
  return writeSentences(report, style({ talker: 'auto', ...how }), [name]).map(bodyOf);
}

/** The number written for a satellite. */
function numberOf(id: string, how: Partial<SentenceStyle>): string {
  const report = { ...NOTHING, inView: [inView(id, 10, 20)] };
  const listed = bodies(report, 'GSV', how).filter((body) => body.split(',').length > 5);
  expect(listed).toHaveLength(1);
  return (listed[0] as string).split(',')[4] as string;
}

describe('the talker', () => {
  const talker = (report: Report, how: Partial<SentenceStyle>) => (bodies(report, 'GGA', how)[0] as string).slice(0, 2);

  it.each<[string, SystemName[]]>([
    ['GP', ['gps']],
    ['GP', ['gps', 'sbas']],
    ['GP', ['gps', 'qzss', 'sbas']],
    ['GL', ['glonass']],
    ['GA', ['galileo']],
    ['GB', ['beidou']],
    ['GQ', ['qzss']],
    ['GI', ['navic']],
    ['GN', ['gps', 'glonass']],
    ['GN', ['galileo', 'beidou']],
    ['GN', ['glonass', 'qzss']],
  ])('is %s by itself for a receiver of %s', (expected, systems) => {
    const report = { ...FIX, used: [], systemModes: modes('A', ...systems) };
    expect(talker(report, {})).toBe(expected);
    expect(talker(report, { talker: 'used' })).toBe(expected);
    expect(writeBanner(['X'], style({ talker: 'auto' }), systems).map(bodyOf)).toEqual([`${expected}TXT,01,01,02,X`]);
  });

  it('goes by the systems of the solution where the module has it so', () => {
    expect(talker(ALL, { talker: 'auto' })).toBe('GN');
    expect(talker(ALL, { talker: 'used' })).toBe('GN');
    expect(talker({ ...ALL, used: ['R03', 'R17'] }, { talker: 'used' })).toBe('GL');
    expect(talker({ ...ALL, used: ['R03', 'R17'] }, { talker: 'auto' })).toBe('GN');
    expect(talker({ ...ALL, used: ['G02', 'J02', 'S20'] }, { talker: 'used' })).toBe('GP');
  });

  it('is fixed where the module has it so, but in GSV', () => {
    for (const name of ['GGA', 'RMC', 'GSA', 'GRS', 'HDT'] as const) {
      for (const body of bodies(ALL, name, { talker: 'II' })) expect(body.slice(0, 2)).toBe('II');
    }
    const listed = bodies(ALL, 'GSV', { talker: 'II' }).map((body) => body.slice(0, 2));
    expect([...new Set(listed)]).toEqual(['GP', 'GL', 'GA', 'GB', 'GQ', 'GI']);
  });

  it('of GSA is the common one, or that of each system', () => {
    const talkers = (how: Partial<SentenceStyle>) => bodies(ALL, 'GSA', how).map((body) => body.slice(0, 2));
    expect(talkers({})).toEqual(['GN', 'GN', 'GN', 'GN', 'GN', 'GN']);
    expect(talkers({ gsaTalker: 'system' })).toEqual(['GP', 'GL', 'GA', 'GB', 'GQ', 'GI']);
    expect(talkers({ gsaTalker: 'system', gsa: 'combined' })).toEqual(['GN']);
  });

  it.each(['GQ', 'PQ', 'QZ'] as const)('of QZSS is %s', (qzssTalker) => {
    expect(bodies(ALL, 'GSV', { qzssTalker })).toContain(`${qzssTalker}GSV,1,1,01,02,05,090,,1`);
  });

  it('of QZSS is GP among the satellites of GPS, in GSV and in GSA', () => {
    const how = { qzssTalker: 'GP', qzssIds: '193+' } as const;
    const report: Report = { ...ALL, used: ['G02', 'J02'], residualsM: [0.1, 0.2] };
    expect(bodies(report, 'GSV', how).slice(0, 2)).toEqual([
      'GPGSV,2,1,05,02,41,083,46,05,17,000,41,12,60,010,,194,05,090,,1',
      'GPGSV,2,2,05,33,20,180,37,1',
    ]);
    expect(bodies(report, 'GSA', how)[0]).toBe('GNGSA,A,3,02,194,,,,,,,,,,,1.75,0.93,1.50,1');
    expect(bodies(report, 'GSA', how).map((body) => body.slice(-1))).toEqual(['1', '2', '3', '4', '6']);
  });

  it.each(['GB', 'BD'] as const)('of BeiDou is %s', (beidouTalker) => {
    const listed = bodies(ALL, 'GSV', { beidouTalker }).filter((body) => body.startsWith(beidouTalker));
    expect(listed).toHaveLength(3);
    const alone = { ...FIX, used: [], systemModes: modes('A', 'beidou') };
    expect(talker(alone, { beidouTalker })).toBe(beidouTalker);
  });
});

describe('numbers of satellites', () => {
  it.each<[string, Partial<SentenceStyle>, string]>([
    ['G05', {}, '05'],
    ['G32', {}, '32'],
    ['S20', {}, '33'],
    ['S51', {}, '64'],
    ['S52', {}, '152'],
    ['S20', { sbasIds: '120+' }, '120'],
    ['S58', { sbasIds: '120+' }, '158'],
    ['R01', {}, '65'],
    ['R24', {}, '88'],
    ['R07', { glonassIds: 'local' }, '07'],
    ['E03', {}, '03'],
    ['E36', { galileoIds: '301+' }, '336'],
    ['C01', {}, '01'],
    ['C63', {}, '63'],
    ['C21', { beidouIds: '201+' }, '221'],
    ['J02', {}, '02'],
    ['J10', { qzssIds: 'local' }, '10'],
    ['J02', { qzssIds: '193+' }, '194'],
    ['I07', {}, '07'],
  ])('%s with %j is %s (NMEA 0183 and common practice, second hand)', (id, how, expected) => {
    expect(numberOf(id, how)).toBe(expected);
  });
});

describe('GSA', () => {
  it('can have all systems in one, twelve at a time, without a system id; GRS likewise', () => {
    const how = { gsa: 'combined', glonassIds: '65+' } as const;
    expect(bodies(ALL, 'GSA', how)).toEqual(['GNGSA,A,3,02,05,67,81,11,36,05,46,04,,,,1.75,0.93,1.50,']);
    expect(bodies(ALL, 'GRS', { ...how, version: '4.00' })).toEqual([
      'GNGRS,064007.50,1,0.3,-1.5,3.8,0.0,12.3,-100,100,-999,0.0,,,',
    ]);
    const used = [...ALL.used, 'I05', 'I06', 'I07', 'I09'];
    const report = { ...ALL, used, residualsM: used.map(() => 0.1) };
    expect(bodies(report, 'GSA', { ...how, version: '4.00' })).toEqual([
      'GNGSA,A,3,02,05,67,81,11,36,05,46,04,05,06,07,1.75,0.93,1.50',
      'GNGSA,A,3,09,,,,,,,,,,,,1.75,0.93,1.50',
    ]);
  });

  it('combined has a system id where there is one system', () => {
    expect(bodies(FIX, 'GSA', { gsa: 'combined' })).toEqual(['GPGSA,A,3,02,05,12,25,,,,,,,,,1.75,0.93,1.50,1']);
  });

  it('leaves the twelfth place blank where twelve would be too long', () => {
    const used = Array.from({ length: 12 }, (_, i) => `C${i + 20}`);
    const report = { ...ALL, systemModes: modes('A', 'beidou'), used, residualsM: used.map(() => 0), pdop: null };
    const how = { beidouIds: '201+' } as const;
    const ids = (sent: string[]) =>
      sent.map(
        (body) =>
          body
            .split(',')
            .slice(3, 15)
            .filter((id) => id !== '').length,
      );
    expect(ids(bodies(report, 'GSA', how))).toEqual([11, 1]);
    expect(ids(bodies(report, 'GSA', { ...how, longLines: true }))).toEqual([12]);
    expect(ids(bodies(report, 'GSA', { ...how, dopDecimals: 1, unknownDop: '' }))).toEqual([12]);
  });
});

describe('GSV', () => {
  const many = Array.from({ length: 5 }, (_, i) =>
    inView(`G0${i + 1}`, 100, 40, { L1: 40, ...(i < 2 ? { L5: 30 } : {}) }),
  );
  const report = { ...FIX, inView: many };

  it('numbers the sentences of each signal anew, or goes on from one signal to the next', () => {
    const heads = (how: Partial<SentenceStyle>) =>
      bodies(report, 'GSV', how).map((body) => [...body.split(',').slice(1, 4), body.split(',').at(-1)].join());
    expect(heads({})).toEqual(['2,1,05,1', '2,2,05,1', '1,1,02,8']);
    expect(heads({ gsvSequence: 'running' })).toEqual(['3,1,05,1', '3,2,05,1', '3,3,05,8']);
  });

  it('writes signal ids in hexadecimal or decimal digits', () => {
    // BeiDou's B2I is the one that differs (NMEA 0183 4.11, second hand); a receiver of this kind has none yet.
    expect(signalIdText(11, 'hexadecimal')).toBe('B');
    expect(signalIdText(11, 'decimal')).toBe('11');
    expect(bodies(ALL, 'GSV', { signalIds: 'decimal' })).toEqual(bodies(ALL, 'GSV', { signalIds: 'hexadecimal' }));
  });

  it.each<[SystemName, SignalName, number]>([
    ['gps', 'L1', 1],
    ['gps', 'L2', 6],
    ['gps', 'L5', 8],
    ['glonass', 'G1', 1],
    ['glonass', 'G2', 3],
    ['galileo', 'E5a', 1],
    ['galileo', 'E5b', 2],
    ['galileo', 'E1', 7],
    ['beidou', 'B1', 1],
    ['beidou', 'B2a', 5],
    ['beidou', 'B3', 8],
    ['qzss', 'L1', 1],
    ['qzss', 'L5', 8],
    ['navic', 'L5', 1],
  ])('knows %s %s by the id %i (NMEA 0183 4.11, second hand)', (system, name, id) => {
    expect(signalId(system, name)).toBe(id);
  });

  it('leaves the C/N0 of an untracked satellite blank, or writes 00', () => {
    expect(bodies(ALL, 'GSV', { untrackedCn0: '00' })).toContain('GQGSV,1,1,01,02,05,090,00,1');
    expect(bodies(ALL, 'GSV', { untrackedCn0: '' })).toContain('GQGSV,1,1,01,02,05,090,,1');
  });

  it('has a decimal of C/N0 where the module has one', () => {
    const one = { ...FIX, inView: [inView('G01', 1, 2, { L1: 40.26 }), inView('G02', 1, 2, { L1: 7.94 })] };
    expect(bodies(one, 'GSV', { cn0Decimals: 1 })).toEqual(['GPGSV,1,1,02,01,02,001,40.3,02,02,001,07.9,1']);
  });

  it('fills the last sentence with blank fields where the module does', () => {
    expect(bodies(report, 'GSV', { padGsv: true, version: '4.00' })).toEqual([
      'GPGSV,2,1,05,01,40,100,40,02,40,100,40,03,40,100,40,04,40,100,40',
      'GPGSV,2,2,05,05,40,100,40,,,,,,,,,,,,',
    ]);
    expect(bodies(NOTHING, 'GSV', { padGsv: true })).toEqual([`GPGSV,1,1,00${','.repeat(16)},1`]);
  });

  it('has three satellites where four would be too long', () => {
    const inViewNow = Array.from({ length: 4 }, (_, i) => inView(`C2${i}`, 100, 40, { B1: 40 }));
    const wide = { ...FIX, systemModes: modes('A', 'beidou'), inView: inViewNow };
    const how = { beidouIds: '201+', cn0Decimals: 1 } as const;
    expect(bodies(wide, 'GSV', how)).toEqual([
      'GBGSV,2,1,04,220,40,100,40.0,221,40,100,40.0,222,40,100,40.0,1',
      'GBGSV,2,2,04,223,40,100,40.0,1',
    ]);
    expect(bodies(wide, 'GSV', { ...how, longLines: true })).toHaveLength(1);
  });

  it('takes the second signal for the first where nothing is tracked on that', () => {
    const lower = { ...FIX, inView: [inView('G01', 1, 2, { L5: 40 }), inView('G02', 1, 2)] };
    expect(bodies(lower, 'GSV')).toEqual(['GPGSV,1,1,02,01,02,001,40,02,02,001,,8']);
  });

  it('does not depend on what was written before', () => {
    const before = bodies(report, 'GSV');
    bodies(ALL, 'GSV');
    bodies(NOTHING, 'GSV');
    expect(bodies(report, 'GSV')).toEqual(before);
  });
});
