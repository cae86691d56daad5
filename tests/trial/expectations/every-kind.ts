import { Crash, type HostOptions, type Said, type TestHost } from './helper.js';
import { careful, fragile, mute, naive, withMistake } from './hosts.js';

/** A host on a scenario. */
export interface Tried extends HostOptions {
  readonly on: Readonly<Record<string, unknown>>;
  readonly host: () => TestHost;
  /** What the reason must say. */
  readonly why: RegExp;
}

/** An expectation, and a host for each verdict. */
export interface KindCases {
  readonly expect: Readonly<Record<string, unknown>>;
  readonly fails: Tried;
  readonly passes: Tried;
  readonly untested: Tried;
}

const BOTH = {
  sky: { systems: ['gps', 'glonass'] },
  module: { baud: 115_200, sentences: { GGA: 1, GSA: 1, GSV: 1, RMC: 1 } },
};
const REST = { duration: '30 s' };
const DRIVE = {
  duration: '60 s',
  route: [
    { hold: '5 s', at: [47.1, 8.2, '430 m'] },
    {
      go: [
        [47.104, 8.2],
        [47.104, 8.206],
      ],
      speed: '20 m/s',
      acceleration: '4 m/s2',
      'turn-radius': '30 m',
    },
  ],
};
const entry = (more: object) => ({ at: '20 s', for: '15 s', ...more });
const TUNNEL = { ...DRIVE, timeline: [entry({ surroundings: 'tunnel' })] };
const GONE = { ...DRIVE, timeline: [entry({ fault: 'port-loss' })] };
const COLD = { duration: '15 s', receiver: { start: 'cold' } };
const DAMAGED = { ...DRIVE, timeline: [entry({ fault: 'bad-checksum', with: { share: 0.5, 'tell-tale': true } })] };
const JUMP = { ...DRIVE, timeline: [entry({ fault: 'position-jump' })] };
const OLD_DATE = { duration: '80 s', receiver: { start: 'cold' }, timeline: [{ at: '0 s', fault: 'default-date' }] };

const without = (...keys: (keyof Said)[]) =>
  withMistake((said) => ({ ...said, ...Object.fromEntries(keys.map((key) => [key, null])) }));
const only = (change: (said: Said) => Said) =>
  withMistake((said) => (said.hasFix === true ? { ...said, ...change(said) } : said));

/** Never comes back once it has lost the fix. */
function once(): TestHost {
  const host = careful();
  let [hadFix, hasLost] = [false, false];
  return (text, atMs) =>
    host(text, atMs).map((said) => {
      hadFix ||= said.hasFix === true;
      hasLost ||= hadFix && said.hasFix === false;
      return hasLost ? { hasFix: false } : said;
    });
}

/** Its program ends after five seconds. */
function endingOnce(): TestHost {
  const host = careful();
  return (text, atMs) => {
    if (atMs === 5_000) throw new Crash('out of memory');
    return host(text, atMs);
  };
}

/** By key: for every kind a host that fails it, one that passes, and one that leaves it untested. */
export const EVERY_KIND: Readonly<Record<string, KindCases>> = {
  'first-fix': {
    expect: { 'first-fix': '20 s' },
    fails: {
      on: REST,
      host: withMistake((said) => ({ ...said, hasFix: false })),
      why: /^no fix was reported up to 30\.?\d* s/,
    },
    passes: { on: REST, host: careful, why: /^first fix [\d.]+ s after the start \(20 s allowed\)$/ },
    untested: { on: COLD, host: careful, why: /^the module itself told no fix$/ },
  },
  position: {
    expect: { position: '15 m' },
    // Takes ddmm.mmmm for degrees and decimals.
    fails: {
      on: DRIVE,
      host: only(({ latitudeDeg }) => ({ latitudeDeg: Math.floor(latitudeDeg ?? 0) + ((latitudeDeg ?? 0) % 1) * 0.6 })),
      why: /^95 % within \d+ m of the truth \(15 m allowed\), \d+ reports$/,
    },
    passes: { on: DRIVE, host: careful, why: /^95 % within [\d.]+ m of the truth \(15 m allowed\), \d+ reports$/ },
    untested: { on: DRIVE, host: mute, why: /^no report told a place/ },
  },
  speed: {
    expect: { speed: '1 m/s' },
    // Takes knots for metres a second, as the naive host does.
    fails: { on: DRIVE, host: naive, why: /^95 % within [\d.]+ m\/s of the truth \(1 m\/s allowed\)/ },
    passes: { on: DRIVE, host: careful, why: /^95 % within [\d.]+ m\/s of the truth/ },
    untested: { on: DRIVE, host: without('speedMps'), why: /^no report told a speed/ },
  },
  course: {
    expect: { course: '10 deg', above: '5 m/s' },
    fails: {
      on: DRIVE,
      host: only(({ courseDeg }) => ({ courseDeg: 360 - (courseDeg ?? 0) })),
      why: /deg of the truth/,
    },
    passes: { on: DRIVE, host: careful, why: /^95 % within [\d.]+ deg of the truth \(10 deg allowed\)/ },
    untested: { on: REST, host: careful, why: /^no report told a course, above 5 m\/s/ },
  },
  height: {
    expect: { height: '25 m' },
    // Takes the height above the ellipsoid for that above the sea.
    fails: {
      on: REST,
      host: only(({ altitudeMslM }) => ({ altitudeMslM: (altitudeMslM ?? 0) + 48.1 })),
      why: /m of the truth \(25 m allowed\)/,
    },
    passes: { on: REST, host: careful, why: /^95 % within [\d.]+ m of the truth \(25 m allowed\)/ },
    untested: { on: REST, host: without('altitudeMslM'), why: /^no report told a height/ },
  },
  time: {
    expect: { time: '100 ms' },
    fails: { on: REST, host: only(({ utcMs }) => ({ utcMs: (utcMs ?? 0) + 3_600_000 })), why: /^95 % within 3600 s/ },
    passes: { on: REST, host: careful, why: /^95 % within 0 s of the truth \(0\.1 s allowed\)/ },
    untested: { on: REST, host: without('utcMs'), why: /^no report told a time/ },
  },
  'no-fix': {
    expect: { 'no-fix': '3 s' },
    fails: {
      on: TUNNEL,
      host: naive,
      why: /^a fix still reported [\d.]+ s after the loss \(3 s allowed\), 1 time in 1 loss of the fix$/,
    },
    passes: {
      on: TUNNEL,
      host: careful,
      why: /^told within [\d.]+ s \(3 s allowed\), 1 loss of the fix$/,
    },
    untested: { on: DRIVE, host: careful, why: /^the module neither lost its fix nor fell silent$/ },
  },
  recovery: {
    expect: { recovery: '5 s' },
    fails: {
      on: TUNNEL,
      host: once,
      why: /^no fix reported for [\d.]+ s after the module had its own back \(5 s allowed\)/,
    },
    passes: { on: TUNNEL, host: careful, why: /^recovered within [\d.]+ s \(5 s allowed\), 1 recovery$/ },
    untested: { on: DRIVE, host: careful, why: /^the module never had its fix back after a loss$/ },
  },
  'damaged-sentence': {
    expect: { 'damaged-sentence': 'refused' },
    fails: { on: DAMAGED, host: naive, why: /^\d+ of \d+ damaged sentences used$/ },
    passes: { on: DAMAGED, host: careful, why: /^none of \d+ damaged sentences used$/ },
    untested: { on: DRIVE, host: naive, why: /^no damaged sentence with a tell-tale place reached the host$/ },
  },
  'default-date': {
    expect: { 'default-date': 'refused' },
    fails: {
      on: OLD_DATE,
      host: naive,
      why: /^a date \d+ days off reported, 1980-01-06 \(24 h allowed\), \d+ reports$/,
    },
    passes: {
      on: OLD_DATE,
      host: careful,
      why: /^no wrong date reported in \d+ reports, \d+ epochs without a true one$/,
    },
    untested: { on: DRIVE, host: careful, why: /^the module neither told a wrong date nor was it without one$/ },
  },
  'false-jump': {
    expect: { 'false-jump': 'refused' },
    fails: { on: JUMP, host: naive, why: /^a place \d+ m off reported \(100 m allowed\), 15 reports at 15 epochs/ },
    passes: { on: JUMP, host: careful, why: /^no place beyond 100 m reported at 15 epochs at a false place$/ },
    untested: { on: DRIVE, host: careful, why: /^the module was never 100 m off by one of position-jump, / },
  },
  running: {
    expect: { running: true },
    fails: { on: TUNNEL, host: fragile, why: /^the host ended with exit code 1 after 0\.\d+ s$/ },
    passes: { on: TUNNEL, host: careful, why: /^ran to the end, 60\.?\d* s$/ },
    untested: { on: TUNNEL, host: careful, isForeign: true, why: /^the host ran already/ },
  },
  restarts: {
    expect: { restarts: 1 },
    fails: { on: TUNNEL, host: fragile, restarts: true, why: /^\d+ restarts needed \(1 allowed\)$/ },
    passes: { on: TUNNEL, host: endingOnce, restarts: true, why: /^1 restart needed \(1 allowed\)$/ },
    untested: { on: TUNNEL, host: fragile, isForeign: true, why: /^the host ran already/ },
  },
  latency: {
    expect: { latency: '500 ms' },
    fails: {
      on: REST,
      host: careful,
      delayMs: 1500,
      why: /^95 % within \d+ ms of the epoch’s last sentence \(500 ms allowed\)/,
    },
    passes: { on: REST, host: careful, delayMs: 100, why: /^95 % within \d+ ms .*, (3\d) of \1 epochs$/ },
    untested: { on: REST, host: without('utcMs'), why: /^no report told the time of an epoch/ },
  },
  'report-interval': {
    expect: { 'report-interval': '3 s' },
    fails: {
      on: GONE,
      host: withMistake((said) => (said.hasFix === true ? said : null)),
      why: /^longest time without a report 1\d\.?\d* s \(3 s allowed\), 1 time too long$/,
    },
    passes: { on: TUNNEL, host: careful, why: /^longest time without a report [\d.]+ s \(3 s allowed\), \d+ reports$/ },
    untested: { on: REST, host: mute, why: /^no report came$/ },
  },
  'satellites-used': {
    expect: { 'satellites-used': 0 },
    fails: { on: BOTH, host: naive, why: /^satellites used \d+ off at most \(0 allowed\)/ },
    passes: { on: BOTH, host: careful, why: /^satellites used 0 off at most \(0 allowed\), \d+ reports$/ },
    untested: { on: BOTH, host: without('used'), why: /^no report told a number of satellites used$/ },
  },
  'satellites-in-view': {
    expect: { 'satellites-in-view': 0 },
    fails: { on: BOTH, host: naive, why: /^satellites in view \d+ off at most \(0 allowed\)/ },
    passes: { on: BOTH, host: careful, why: /^satellites in view 0 off at most \(0 allowed\), \d+ reports$/ },
    untested: { on: BOTH, host: without('inView'), why: /^no report told a number of satellites in view$/ },
  },
};
