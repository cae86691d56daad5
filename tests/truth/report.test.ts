import { describe, expect, it } from 'vitest';
import { type EpochLine, linesOf, playRun, roof } from '../run/helper.js';

const MOVING = {
  duration: '150 s',
  receiver: { start: 'warm' },
  route: [
    { hold: '50 s', at: [-33.85, 151.2, '20 m'] },
    { go: [[-33.84, 151.21]], speed: '25 kn' },
  ],
  module: { decimals: { minutes: 4, seconds: 3, altitude: 2, speed: 2, course: 2, dop: 2 } },
  timeline: [{ at: '100 s', for: '5 s', surroundings: 'tunnel' }],
};

/** Half a unit of the last printed digit, and what doubles of this size are off by. */
const half = (decimals: number) => 0.5 * 10 ** -decimals + 1e-9;
const KNOT_MPS = 1852 / 3600;

function near(field: string, value: number | null, decimals: number, what: string): void {
  if (value === null) {
    expect(field, what).toBe('');
    return;
  }
  expect(field, what).toMatch(new RegExp(`^-?\\d+\\.\\d{${decimals}}$`));
  expect(Math.abs(Number(field) - value), what).toBeLessThanOrEqual(half(decimals));
}

/** Reads ddmm.mmmm and its hemisphere. */
function angle([value, hemisphere]: readonly string[], degreeDigits: number): number {
  const text = value as string;
  const size = Number(text.slice(0, degreeDigits)) + Number(text.slice(degreeDigits)) / 60;
  return hemisphere === 'S' || hemisphere === 'W' ? -size : size;
}

function position(fields: readonly string[], { latitudeDeg, longitudeDeg }: EpochLine['report'], what: string): void {
  if (latitudeDeg === null || longitudeDeg === null) {
    expect(fields, what).toEqual(['', '', '', '']);
    return;
  }
  expect(Math.abs(angle(fields.slice(0, 2), 2) - latitudeDeg), what).toBeLessThanOrEqual(half(4) / 60);
  expect(Math.abs(angle(fields.slice(2, 4), 3) - longitudeDeg), what).toBeLessThanOrEqual(half(4) / 60);
}

const CHECKS: Readonly<Record<string, (f: readonly string[], report: EpochLine['report'], what: string) => void>> = {
  GGA: (f, report, what) => {
    clock(f[1] as string, report, what);
    position(f.slice(2, 6), report, what);
    expect(f[6], what).toBe(String(report.quality));
    expect(Number(f[7]), what).toBe(report.used);
    near(f[8] as string, report.hdop ?? 99.99, 2, what);
    near(f[9] as string, report.altitudeMslM, 2, what);
    near(f[11] as string, report.geoidSeparationM, 2, what);
  },
  RMC: (f, report, what) => {
    clock(f[1] as string, report, what);
    expect(f[2], what).toBe(report.status);
    position(f.slice(3, 7), report, what);
    near(f[7] as string, report.speedMps === null ? null : report.speedMps / KNOT_MPS, 2, what);
    near(f[8] as string, report.courseDeg, 2, what);
    const [year, month, day] = report.dateKnown ? (report.utc ?? '').slice(2, 10).split('-') : ['', '', ''];
    expect(f[9], what).toBe(`${day}${month}${year}`);
    expect(f[12], what).toBe(report.mode);
  },
  GLL: (f, report, what) => {
    position(f.slice(1, 5), report, what);
    clock(f[5] as string, report, what);
    expect(f.slice(6), what).toEqual([report.status, report.mode]);
  },
  VTG: (f, report, what) => {
    near(f[1] as string, report.courseDeg, 2, what);
    near(f[5] as string, report.speedMps === null ? null : report.speedMps / KNOT_MPS, 2, what);
    near(f[7] as string, report.speedMps === null ? null : report.speedMps * 3.6, 2, what);
  },
  GSA: (f, report, what) => {
    expect(f[2], what).toBe({ none: '1', '2d': '2', '3d': '3' }[report.fix]);
    expect(
      f.slice(3, 15).filter((id) => id !== ''),
      what,
    ).toHaveLength(Math.min(12, report.used));
    near(f[15] as string, report.pdop ?? 99.99, 2, what);
    near(f[16] as string, report.hdop ?? 99.99, 2, what);
    near(f[17] as string, report.vdop ?? 99.99, 2, what);
  },
  GSV: (f, report, what) => expect(Number(f[3]), what).toBe(report.inView),
  ZDA: (f, report, what) => {
    clock(f[1] as string, report, what);
    const [year, month, day] = report.dateKnown ? (report.utc ?? '').slice(0, 10).split('-') : ['', '', ''];
    expect(f.slice(2, 5), what).toEqual([day, month, year]);
  },
};

function clock(field: string, { utc, timeKnown }: EpochLine['report'], what: string): void {
  expect(utc !== null, what).toBe(timeKnown);
  expect(field, what).toBe(utc === null ? '' : utc.slice(11, 23).replaceAll(':', ''));
}

describe('the report in the journal', () => {
  it.each(['2026-03-01T23:59:20Z', '2026-03-01T12:00:00.7Z'])(
    'is what every sentence of its epoch says, to the printed digit, from %s',
    async (start) => {
      const { journal } = await playRun({ scenario: roof({ ...MOVING, start }) });
      const epochs = linesOf(journal, 'epoch');
      const checked: Record<string, number> = {};
      for (const { text, epoch } of linesOf(journal, 'sentence')) {
        const name = text.slice(3, 6);
        if (name === 'TXT') continue;
        const fields = text.slice(1, text.indexOf('*')).split(',');
        CHECKS[name]?.(fields, (epochs[epoch] as EpochLine).report, text);
        checked[name] = (checked[name] ?? 0) + 1;
      }
      for (const name of Object.keys(CHECKS)) expect(checked[name]).toBeGreaterThanOrEqual(149);
      const fixes = new Set(epochs.map(({ report }) => report.fix));
      expect(fixes.has('none') && fixes.has('3d')).toBe(true);
    },
  );

  it('claims no second that its sentences do not say: ten epochs a second from a fraction of one', async () => {
    const scenario = roof({ start: '2026-03-01T12:00:58.7Z', duration: '4 s', module: 'single-band-115200-10hz' });
    const { journal } = await playRun({ scenario });
    const epochs = linesOf(journal, 'epoch');
    for (const { text, epoch } of linesOf(journal, 'sentence')) {
      if (text.slice(3, 6) !== 'RMC') continue;
      const { report } = epochs[epoch] as EpochLine;
      expect(text.split(',')[1], text).toBe((report.utc ?? '').slice(11, 22).replaceAll(':', ''));
    }
    for (const { utc, index } of epochs) {
      const tenths = 587 + index;
      const second = (tenths % 600) / 10;
      expect(utc).toBe(`2026-03-01T12:0${Math.floor(tenths / 600)}:${second.toFixed(3).padStart(6, '0')}Z`);
    }
  });
});
