import { describe, expect, it } from 'vitest';
import { EpochAssembler, type HeardEpoch } from '../../src/grammar/heard-epoch.js';
import { Splitter } from '../../src/grammar/splitter.js';
import { epochsIn, line, namesOf } from './helper.js';

const rmc = (time: string, speed = '5.0') => line(`GPRMC,${time},A,4807.0380,N,01131.0000,E,${speed},84.4,230394,,,A`);
const gga = (time: string, hdop = '0.9') =>
  line(`GPGGA,${time},4807.0380,N,01131.0000,E,1,05,${hdop},545.4,M,46.9,M,,`);
const gsa = (hdop = '0.9') => line(`GPGSA,A,3,04,05,09,12,24,,,,,,,,2.5,${hdop},2.1`);
const vtg = (speed = '5.0') => line(`GPVTG,84.4,T,,M,${speed},N,9.3,K,A`);
const gsv = (number: number) => line(`GPGSV,2,${number},05,04,40,083,46,05,17,308,41,09,07,344,39,12,14,228,45`);
const names = (stream: string) => epochsIn(stream).map(namesOf);

describe('epochs', () => {
  it('begin where the time changes, and what has no time goes with what led the stream', () => {
    const timed = (time: string) => rmc(time) + gga(time);
    const leading = [1, 2, 3].map((second) => gsv(1) + gsa() + vtg() + timed(`12000${second}`)).join('');
    expect(names(leading)).toEqual(Array(3).fill('GPGSV1 GPGSA GPVTG GPRMC GPGGA'));
    const trailing = [1, 2, 3].map((second) => timed(`12000${second}`) + gsv(1) + gsa() + vtg()).join('');
    expect(names(trailing)).toEqual(Array(3).fill('GPRMC GPGGA GPGSV1 GPGSA GPVTG'));
  });

  it.each([
    ['4807.0380,N,18131.0000,E', 'longitude beyond 180'],
    ['9107.0380,N,01131.0000,E', 'latitude beyond 90'],
  ])('have no place where one coordinate is none: %s, %s', (place) => {
    const [epoch] = epochsIn(line(`GPGGA,120000,${place},1,05,0.9,545.4,M,46.9,M,,`));
    expect(epoch).toMatchObject({ quality: 1, latitudeDeg: null, longitudeDeg: null });
  });

  it('have no fix where GSA has a word for it that means nothing', () => {
    const [epoch] = epochsIn(line('GPGSA,A,constructor,04,05,,,,,,,,,,,2.5,0.9,2.1'));
    expect(epoch?.fix).toBeNull();
  });

  it('keep what comes in some epochs only', () => {
    const stream = [1, 2, 3, 4]
      .map((second) => (second % 2 === 0 ? '' : gsv(1) + gsv(2)) + gsa() + rmc(`12000${second}`))
      .join('');
    expect(names(stream)).toEqual([
      'GPGSV1 GPGSV2 GPGSA GPRMC',
      'GPGSA GPRMC',
      'GPGSV1 GPGSV2 GPGSA GPRMC',
      'GPGSA GPRMC',
    ]);
  });

  it('of a stream that begins amid one are put right by what sentences repeat', () => {
    // GSA leads each epoch, and has GGA's HDOP; the stream begins with the end of one.
    const full = [1, 2, 3, 4, 5].map(
      (n) => gsa(`${n}.1`) + vtg(`${n}.0`) + rmc(`12000${n}`, `${n}.0`) + gga(`12000${n}`, `${n}.1`),
    );
    const found = names(gga('120000', '0.1') + full.join(''));
    expect(found.slice(-2)).toEqual(['GPGSA GPVTG GPRMC GPGGA', 'GPGSA GPVTG GPRMC GPGGA']);
    const last = epochsIn(gga('120000', '0.1') + full.join('')).at(-1) as HeardEpoch;
    expect(last).toMatchObject({ hdop: 5.1, vdop: 2.1 });
  });

  it('are parted by the silence between them, where times of arrival are known', () => {
    const epochs: HeardEpoch[] = [];
    const assembler = new EpochAssembler((epoch) => epochs.push(epoch));
    const splitter = new Splitter((piece) => assembler.put(piece));
    // The stream begins with an epoch's end, so that its first sentence does not lead.
    let atMs = 0;
    splitter.push(gga('120000'), atMs);
    for (const second of [1, 2, 3]) {
      atMs = 1000 * second;
      for (const text of [gsa(), vtg(), rmc(`12000${second}`), gga(`12000${second}`)]) {
        splitter.push(text, atMs);
        atMs += 10;
      }
    }
    assembler.end();
    expect(epochs.map(namesOf)).toEqual(['GPGGA', ...Array(3).fill('GPGSA GPVTG GPRMC GPGGA')]);
  });

  it('without times begin where a sentence comes again', () => {
    const blank = line('GPRMC,,V,,,,,,,,,,N') + line('GPGGA,,,,,,0,,,,,,,,');
    expect(names(blank + blank + rmc('120001'))).toEqual(['GPRMC GPGGA', 'GPRMC GPGGA', 'GPRMC']);
    expect(names(gsv(1) + gsv(2) + gsa() + gsv(1) + gsv(2) + gsa())).toEqual(Array(2).fill('GPGSV1 GPGSV2 GPGSA'));
    // The same time again is another epoch.
    expect(names(rmc('120001') + gga('120001') + rmc('120001') + gga('120001'))).toHaveLength(2);
  });

  it('hold several GSA, and lists of two systems under one talker', () => {
    const more = line('GNGSA,A,3,04,05,09,12,24,,,,,,,,2.5,0.9,2.1') + line('GNGSA,A,3,65,66,,,,,,,,,,,2.5,0.9,2.1');
    const none = line('PQGSV,1,1,0,0').repeat(2);
    const epoch = (second: number) => rmc(`12000${second}`) + more + none;
    expect(names(epoch(1) + epoch(2))).toEqual(Array(2).fill('GPRMC GNGSA GNGSA PQGSV1 PQGSV1'));
    const [first] = epochsIn(epoch(1));
    expect(first).toMatchObject({ used: 7, inView: 0, fix: '3d', satellites: [] });
  });

  it('have a fix by any system’s GSA', () => {
    const [epoch] = epochsIn(line('GPGSA,A,1,,,,,,,,,,,,,,,') + line('GLGSA,A,2,65,66,67,,,,,,,,,,2.5,0.9,2.1'));
    expect(epoch).toMatchObject({ fix: '2d', isValid: true, usedIds: [{ talker: 'GL', id: '65' }, {}, {}] });
  });

  it('take no sentence that is damaged or cut off', () => {
    const cut = gga('120001').slice(0, 30);
    expect(names(`${rmc('120001')}${cut}${vtg()}$GPZDA,120001,23,03,1994,00,00*00\r\n`)).toEqual(['GPRMC GPVTG']);
    // Without a checksum it is taken, as a module without them sends it.
    expect(names('$GPGLL,4916.45,N,12311.12,W,225444,A\r\n')).toEqual(['GPGLL']);
  });

  it('never grow without end', () => {
    const odd = Array.from({ length: 1000 }, (_, i) => line(`GPGSV,1,1,${i},`)).join('');
    const sizes = epochsIn(odd).map(({ sentences }) => sentences.length);
    expect(Math.max(...sizes)).toBeLessThan(500);
    expect(sizes.reduce((sum, size) => sum + size)).toBe(1000);
  });

  it('tell what their sentences tell', () => {
    const [epoch] = epochsIn(rmc('120001') + gga('120001') + gsa() + gsv(1) + gsv(2) + vtg());
    expect(epoch).toMatchObject({
      utcMs: Date.UTC(1994, 2, 23, 12, 0, 1),
      isValid: true,
      quality: 1,
      status: 'A',
      mode: 'A',
      latitudeDeg: 48 + 7.038 / 60,
      altitudeMslM: 545.4,
      courseDeg: 84.4,
      used: 5,
      inView: 5,
      hdop: 0.9,
      pdop: 2.5,
    });
    expect(epoch?.speedMps).toBeCloseTo(2.5722, 4);
    expect(epoch?.satellites[0]).toEqual({
      talker: 'GP',
      signal: null,
      id: '4',
      elevationDeg: 40,
      azimuthDeg: 83,
      cn0DbHz: 46,
    });
  });
});

describe('a stale sentence, with the time of another epoch,', () => {
  const at = (second: number) => `12000${second}`;

  it('begins no epoch of its own where it comes after the others', () => {
    const stream = [1, 2, 3, 4].map((n) => rmc(at(n)) + gga(at(n - 1)) + gsa()).join('');
    expect(names(stream)).toEqual(Array(4).fill('GPRMC GPGGA GPGSA'));
    expect(epochsIn(stream).map(({ timeOfDayMs }) => (timeOfDayMs as number) / 1000 - 43200)).toEqual([1, 2, 3, 4]);
    const nowAndThen = [1, 2, 3, 4, 5].map((n) => rmc(at(n)) + gsa() + gga(at(n === 3 ? 2 : n))).join('');
    expect(names(nowAndThen)).toEqual(Array(5).fill('GPRMC GPGSA GPGGA'));
  });

  it('is of the epoch that it leads', () => {
    const stream = [1, 2, 3, 4, 5].map((n) => rmc(at(n === 3 ? 2 : n)) + gga(at(n)) + gsa()).join('');
    expect(names(stream)).toEqual(Array(5).fill('GPRMC GPGGA GPGSA'));
    expect(epochsIn(stream)[2]?.timeOfDayMs).toBe((12 * 3600 + 3) * 1000);
  });

  it('says neither where the antenna is nor what day it is', () => {
    const old = gga('235959').replace('4807.0380', '4807.0370');
    const [body] = old.slice(1).split('*') as [string];
    const [epoch] = epochsIn(rmc('000000') + line(body));
    expect(epoch).toMatchObject({ timeOfDayMs: 0, latitudeDeg: 48 + 7.038 / 60, altitudeMslM: 545.4 });
    const led = epochsIn([rmc('235959'), gga('235959'), rmc('235959'), gga('000000')].join(''));
    expect(led.map(({ date, timeOfDayMs }) => [date?.day, timeOfDayMs])).toEqual([
      [23, 86_399_000],
      [24, 0],
    ]);
  });

  it('is none where the clock is set back, midnight passes, or several epochs have one stamp', () => {
    const whole = (time: string) => rmc(time) + gga(time) + gsa();
    const times = ['235958', '235959', '000000', '000001', '235950', '235951'];
    expect(names(times.map(whole).join(''))).toEqual(Array(6).fill('GPRMC GPGGA GPGSA'));
    // RMC once a second, GGA five times: the last GGA of a second is no stale leader of the next.
    const coarse = [1, 2, 3].map((n) => rmc(at(n)) + gga(at(n)).repeat(5)).join('');
    expect(names(coarse)).toEqual([1, 2, 3].flatMap(() => ['GPRMC GPGGA', ...Array(4).fill('GPGGA')]));
  });
});
