import { type ComponentChildren, h } from 'preact';
import { describe, expect, it } from 'vitest';
import { Bars } from '../../src/report/bars.js';
import { page } from '../../src/report/page.js';
import { PointsPlot } from '../../src/report/points-plot.js';
import { ScatterPlot } from '../../src/report/scatter-plot.js';
import { SkyPlot } from '../../src/report/sky-plot.js';
import { TimePlot } from '../../src/report/time-plot.js';
import { TrackPlot } from '../../src/report/track-plot.js';
import { elements, HOSTILE, noise, parsePage } from './document.js';

const html = (children: ComponentChildren) => page({ title: 'a page', caution: 'take care', children });
const place = (tS: number, latitudeDeg: number, longitudeDeg: number) => ({ tS, latitudeDeg, longitudeDeg });
/** Numbers of a path's or shape's attribute. */
const numbers = (text: string | null) => (text ?? '').match(/-?\d+(\.\d+)?/g)?.map(Number) ?? [];

/** A page with one drawing, and what it says. */
function drawn(node: ComponentChildren) {
  const text = html(node);
  const { document, problems } = parsePage(text);
  expect(problems).toEqual([]);
  expect(noise(text)).toEqual([]);
  const byClass = (name: string) =>
    [...elements(document, 'path'), ...elements(document, 'rect'), ...elements(document, 'circle')].filter((element) =>
      (element.getAttribute('class') ?? '').split(' ').includes(name),
    );
  const body = text.slice(text.indexOf('<main>'));
  return { text, body, document, byClass };
}

const NOTHING: readonly (readonly [string, ComponentChildren])[] = [
  ['track', h(TrackPlot, { title: 'Track', truth: [], module: [], reports: [] })],
  ['time', h(TimePlot, { title: 'Error', valueLabel: 'error (m)', series: [] })],
  ['time, logarithmic', h(TimePlot, { title: 'Error', valueLabel: 'error (m)', series: [], axis: 'log' })],
  ['scatter', h(ScatterPlot, { title: 'Scatter', about: 'the mean', points: [], circles: [] })],
  [
    'points',
    h(PointsPlot, {
      title: 'C/N0',
      xLabel: 'elevation (°)',
      yLabel: 'dB-Hz',
      series: [],
      xSpan: [0, 90],
      ySpan: [20, 50],
    }),
  ],
  ['sky', h(SkyPlot, { title: 'Sky', satellites: [] })],
  ['bars', h(Bars, { title: 'Intervals', xLabel: 'interval (ms)', yLabel: 'epochs', bars: [] })],
];

const WILD = [Number.NaN, Number.POSITIVE_INFINITY, -1e300, 1e300, 0, 1e-300];
const wildPlaces = WILD.flatMap((a) => WILD.map((b) => place(a, b, a)));
const VALUES: readonly (readonly [string, ComponentChildren])[] = [
  ['track', h(TrackPlot, { title: 'Track', truth: wildPlaces, module: wildPlaces, reports: wildPlaces })],
  [
    'time',
    h(TimePlot, {
      title: 'Error',
      valueLabel: 'error (m)',
      series: [{ label: 'one', tone: 'host', points: WILD.map((value, tS) => ({ tS, value })) }],
      bands: [{ label: 'never', beginS: Number.NaN, endS: 4 }],
    }),
  ],
  [
    'points',
    h(PointsPlot, {
      title: 'C/N0',
      xLabel: 'elevation (°)',
      yLabel: 'dB-Hz',
      series: [{ label: 'gps', tone: 'module', points: [{ x: Number.NaN, y: 1 }] }],
      xSpan: [0, 90],
      ySpan: [20, 50],
    }),
  ],
  [
    'sky',
    h(SkyPlot, {
      title: 'Sky',
      satellites: WILD.map((value) => ({
        name: 'G01',
        azimuthDeg: value,
        elevationDeg: value,
        cn0DbHz: value,
        isUsed: true,
      })),
    }),
  ],
  ['bars', h(Bars, { title: 'Intervals', xLabel: 'ms', yLabel: 'epochs', bars: [{ from: 0, to: 0, count: 3 }] })],
];

describe('every drawing', () => {
  it.each(NOTHING)('of nothing (%s) has a title, a description and axes with units, and no NaN', (_, node) => {
    const { document, text } = drawn(node);
    const svg = elements(document, 'svg').find((element) => element.getAttribute('role') === 'img');
    expect(svg?.getElementsByTagName('title').length).toBeGreaterThan(0);
    expect(svg?.getElementsByTagName('desc').item(0)?.textContent?.length).toBeGreaterThan(10);
    expect(text).toContain('<figcaption>');
  });

  it.each(VALUES)('of values that are none (%s) prints no NaN', (_, node) => {
    drawn(node);
  });

  it.each(HOSTILE)('escapes its texts: %#', (text) => {
    const points = [{ tS: 0, value: 1 }];
    const bands = [{ label: text.slice(0, 60), beginS: 0, endS: 1 }];
    const series = [{ label: text.slice(0, 200), tone: 'host' as const, points }];
    const { document } = drawn(h(TimePlot, { title: text, valueLabel: text, series, bands }));
    expect(elements(document, 'script')).toEqual([]);
    expect(elements(document, 'img')).toEqual([]);
  });
});

describe('a plot over time', () => {
  const series = (values: readonly (number | null)[], stepS = 1) => [
    { label: 'host', tone: 'host' as const, points: values.map((value, i) => ({ tS: i * stepS, value })) },
  ];
  const plot = (props: Partial<Parameters<typeof TimePlot>[0]>) =>
    drawn(h(TimePlot, { title: 'Error', valueLabel: 'error (m)', series: [], ...props }));

  it('parts its line where a value is missing, and where points lie too far apart', () => {
    const missing = plot({ series: series([1, 2, null, 3, 4]) }).byClass('host')[1];
    expect(missing?.getAttribute('d')?.match(/M/g)).toHaveLength(2);
    const points = [0, 1, 2, 30, 31].map((tS) => ({ tS, value: tS + 1 }));
    const gaps = plot({ series: [{ label: 'host', tone: 'host', points }], gapS: 3 }).byClass('host')[1];
    expect(gaps?.getAttribute('d')?.match(/M/g)).toHaveLength(2);
  });

  it('turns logarithmic by itself where one peak would hide the rest, and not else', () => {
    expect(plot({ series: series([1, 2, 1, 800]), axis: 'auto' }).body).toContain('>1000</text>');
    expect(plot({ series: series([1, 2, 1, 8]), axis: 'auto' }).body).toContain('>2</text>');
  });

  it('labels bands without letting labels meet, and says how many have no room', () => {
    const bands = Array.from({ length: 12 }, (_, i) => ({ label: `${i}.1 bad-checksum`, beginS: 50, endS: 51 }));
    const { body, byClass } = plot({ series: series([1, 2, 3], 50), bands });
    expect(byClass('strip')).toHaveLength(4);
    expect(byClass('band').length).toBe(13);
    expect(body).toContain('8 more of the marked times have no room for a label.');
  });

  it('draws a band where it is: half of the time is half of the width', () => {
    const { byClass } = plot({ series: series([1, 1, 1], 50), bands: [{ label: '1.1', beginS: 50, endS: 100 }] });
    const band = byClass('band').find((element) => element.getAttribute('y') !== '1');
    const grid = numbers(byClass('grid')[0]?.getAttribute('d') ?? null);
    const [first, last] = [grid[0] as number, Math.max(...grid)];
    expect(Number(band?.getAttribute('width'))).toBeCloseTo((last - first) / 2, 0);
  });

  it('tells a long time in minutes or hours', () => {
    expect(plot({ series: series([1, 2, 3], 3000) }).body).toContain('time since the start (min)');
    expect(plot({ series: series([1, 2, 3], 30_000) }).body).toContain('time since the start (h)');
  });
});

describe('a track', () => {
  const square = [place(0, 47, 8), place(1, 47.001, 8), place(2, 47.001, 8.002), place(3, 47, 8.002), place(4, 47, 8)];

  it('has the same scale both ways and north up', () => {
    const { byClass } = drawn(h(TrackPlot, { title: 'Track', truth: square, module: [], reports: [] }));
    const values = numbers(byClass('truth')[1]?.getAttribute('d') ?? null);
    const x = values.filter((_, i) => i % 2 === 0);
    const y = values.filter((_, i) => i % 2 === 1);
    const ratio = (Math.max(...x) - Math.min(...x)) / (Math.max(...y) - Math.min(...y));
    // 0.001 deg of latitude is 111.18 m at 47 deg, 0.002 deg of longitude 152.06 m (WGS-84).
    expect(Math.abs(ratio - 152.06 / 111.18)).toBeLessThan(0.01);
    expect(y[1]).toBeLessThan(y[0] as number);
    expect(x[2]).toBeGreaterThan(x[1] as number);
  });

  it('is not crushed by a report at 0, 0: it is told, and marked at the edge', () => {
    const { body, byClass } = drawn(
      h(TrackPlot, {
        title: 'Track',
        truth: square,
        module: square,
        reports: [place(1, 47.0005, 8.001), place(2, 0, 0)],
      }),
    );
    expect(body).toContain('One report lies outside');
    expect(byClass('moment')[0]?.getAttribute('d')).not.toBe('');
    const x = numbers(byClass('truth')[1]?.getAttribute('d') ?? null).filter((_, i) => i % 2 === 0);
    expect(Math.max(...x) - Math.min(...x)).toBeGreaterThan(150);
  });

  it('goes over the date line in one piece', () => {
    const truth = [
      place(0, -16.5, 179.999),
      place(1, -16.5, 179.9999),
      place(2, -16.5, -179.9999),
      place(3, -16.5, -179.999),
    ];
    const { byClass, body } = drawn(h(TrackPlot, { title: 'Track', truth, module: [], reports: [] }));
    expect(byClass('truth')[1]?.getAttribute('d')?.match(/M/g)).toHaveLength(1);
    expect(body).toContain('(m)');
  });
});

describe('a scatter plot', () => {
  it('draws circles to the scale of the axes, and tells their radii', () => {
    const circles = [
      { eastM: 0, northM: 0, label: 'CEP', radiusM: 2 },
      { eastM: 0, northM: 0, label: '95 %', radiusM: 4 },
    ];
    const points = [{ eastM: 1, northM: 1 }];
    const { byClass, body } = drawn(h(ScatterPlot, { title: 'Scatter', about: 'the mean', points, circles }));
    const [cep, r95] = byClass('circle').map((element) => Number(element.getAttribute('r')));
    expect((r95 as number) / (cep as number)).toBeCloseTo(2, 2);
    expect(body).toMatch(/CEP: 2\.00.m/);
    expect(body).toMatch(/95 %: 4\.00.m/);
  });
});

describe('a sky plot', () => {
  it('has the zenith in the middle, north up and east to the right', () => {
    const satellite = { cn0DbHz: 40, isUsed: true };
    const { byClass } = drawn(
      h(SkyPlot, {
        title: 'Sky',
        satellites: [
          { ...satellite, name: 'zenith', azimuthDeg: 123, elevationDeg: 90 },
          { ...satellite, name: 'north', azimuthDeg: 0, elevationDeg: 0 },
          { ...satellite, name: 'east', azimuthDeg: 90, elevationDeg: 45 },
        ],
      }),
    );
    const [zenith, north, east] = byClass('used').map((element) => ({
      x: Number(element.getAttribute('cx')),
      y: Number(element.getAttribute('cy')),
    }));
    const sky = byClass('sky')[0];
    const radius = Number(sky?.getAttribute('r'));
    expect([zenith?.x, zenith?.y]).toEqual([Number(sky?.getAttribute('cx')), Number(sky?.getAttribute('cy'))]);
    expect([north?.x, north?.y]).toEqual([zenith?.x, (zenith?.y as number) - radius]);
    expect([east?.x, east?.y]).toEqual([(zenith?.x as number) + radius / 2, zenith?.y]);
  });
});

describe('bars', () => {
  it('are as high as their counts, and one in a million still shows', () => {
    const bars = [1_000_000, 500_000, 1, 0].map((count, from) => ({ from, to: from + 1, count }));
    const heights = drawn(h(Bars, { title: 'Intervals', xLabel: 'interval (ms)', yLabel: 'epochs', bars, above: 3 }));
    const [first, second, third, none] = heights
      .byClass('bar')
      .map((element) => Number(element.getAttribute('height')));
    expect((first as number) / (second as number)).toBeCloseTo(2, 2);
    expect(third).toBeGreaterThanOrEqual(1);
    expect(none).toBeUndefined();
    expect(heights.body).toContain('3 lie above what is shown.');
  });
});
