import { LodestubError } from '../base/error.js';
import { formatQuantity } from '../base/quantity.js';
import { formatUtc } from '../base/time.js';
import type { FaultKind } from '../faults/fault.js';
import { lengthS } from '../faults/occurrence.js';
import type { Recording } from '../replay/recording.js';
import { hears } from '../sim/receiver/hears.js';
import type { ErrorSwitches } from '../sim/signal/error-switches.js';
import { SYSTEM_TITLES } from '../sim/sky/system.js';
import type { Surroundings } from '../sim/surroundings.js';
import { geodesicBetween } from '../sim/trajectory/geodesy.js';
import type { Place, RouteStep } from '../sim/trajectory/route.js';
import { settingsAsWritten } from './as-written.js';
import { describeRecording } from './describe-recording.js';
import { lineLoad } from './line-load.js';
import { USUAL_BOOT_MS, USUAL_DIALECT } from './module-schema.js';
import { formatPlace } from './place.js';
import type { Module, Scenario, TimelineEntry } from './scenario.js';

/** Lines that the steps of the route and the entries of the timeline may take together: the whole stays within 25. */
const STEP_AND_ENTRY_LINES = 15;
/** Lines that are left to a long route beside a long timeline. */
const LEAST_ROUTE_LINES = 4;

/** What a scenario will do, in at most 25 lines. */
export function describeScenario(scenario: Scenario): string {
  const { title, seed, start, route, trajectory, timeline, errors, file } = scenario;
  if (scenario.recording !== null) return describeReplay(scenario, scenario.recording);
  const runS = scenario.durationS ?? trajectory.durationS;
  const reached: Reached = {};
  const steps = route.flatMap((step) => describeStep(step, '', reached));
  const hostSide = describeHostSide(scenario.module);
  const room = STEP_AND_ENTRY_LINES - hostSide.length;
  const routeLines = Math.max(Math.min(steps.length, LEAST_ROUTE_LINES), room - timeline.length);
  const lines = [
    `${title}${file === null ? '' : `   ${file}`}`,
    row('seed', String(seed)),
    row('start', start === 'now' ? 'now' : formatUtc(start).replace('.000Z', 'Z')),
    row('duration', `${clock(runS)} (the route takes ${clock(trajectory.durationS)})`),
    ...describeModule(scenario),
    ...hostSide,
    row('receiver', describeReceiver(scenario)),
    row('sky', `${describeSky(scenario)}, ${describeSurroundings(scenario.surroundings)}${describeErrors(errors)}`),
    'route',
    ...shorten(steps, routeLines, 'steps'),
    ...(timeline.length === 0
      ? []
      : ['timeline', ...shorten(table(timeline, runS), room - Math.min(steps.length, routeLines), 'entries')]),
  ];
  return lines.join('\n');
}

/** The same of a scenario that plays a recording. */
function describeReplay({ title, seed, file, durationS, trajectory, timeline, module }: Scenario, played: Recording) {
  const lengthS = trajectory.durationS;
  const known = lengthS === Infinity ? 'nobody knows how long' : clock(lengthS);
  const runS = Math.min(durationS ?? Infinity, lengthS);
  const whole = runS === lengthS ? known : `${clock(runS)} (the recording takes ${known})`;
  return [
    `${title}${file === null ? '' : `   ${file}`}`,
    row('seed', String(seed)),
    row('duration', whole),
    ...describeRecording(played, module).map(([name, value]) => row(name, value)),
    ...(timeline.length === 0 ? [] : ['timeline', ...shorten(table(timeline, runS), STEP_AND_ENTRY_LINES, 'entries')]),
  ].join('\n');
}

function describeReceiver({ receiverStart, module }: Scenario): string {
  const { elevationMaskDeg, antenna, bands, channels } = module.receiver;
  const hears = `${bands.join(' and ')}, ${channels} channels, ${antenna} antenna`;
  return `${receiverStart} start, ${hears}, elevation mask ${elevationMaskDeg} deg`;
}

function describeModule({ module, sky }: Scenario): string[] {
  const { average, worstEpoch, buffer } = lineLoad(
    module,
    sky.systems.filter((system) => hears(module.receiver, system)),
  );
  const rateHz = Number((1000 / module.epochMs).toPrecision(6));
  const load = `line about ${percent(average)} full, ${percent(worstEpoch)} in the fullest epoch`;
  const names = module.sentences.map(({ name, every }) => (every === 1 ? name : `${name}/${every}`)).join(' ');
  return [
    row('module', `${module.name}: ${module.baud} baud, ${rateHz} Hz, ${load}${lossOf(average, buffer)}`),
    row('sentences', `${names}, version ${module.style.version}, talker ${module.style.talker}`),
  ];
}

/** What a host meets that not every module has, in one row; none where there is nothing of it. */
function describeHostSide({ dialect, bridge, onOpen, bootMs, speedSearch }: Module): string[] {
  const spoken = (ms: number) => formatQuantity(ms / 1000, 'duration');
  const parts = [
    dialect.name === USUAL_DIALECT ? null : `dialect ${dialect.name}`,
    bridge === null ? null : `bridge (hold ${spoken(bridge.holdMs)}, packet ${bridge.packetBytes})`,
    onOpen === null ? null : `${onOpen} start when a host opens the port`,
    bootMs <= USUAL_BOOT_MS ? null : `boots for ${spoken(bootMs)}`,
    speedSearch === null
      ? null
      : `searches the speed: ${speedSearch.speedsBaud.join(', ')}, ${spoken(speedSearch.dwellMs)} each`,
  ].filter((part) => part !== null);
  return parts.length === 0 ? [] : [row('host side', parts.join('; '))];
}

/** Why sentences will be lost, if they will. */
function lossOf(average: number, buffer: number): string {
  if (average > 1) return ': sentences will be lost';
  return buffer > 1 ? `; an epoch takes ${percent(buffer)} of the transmit buffer: sentences will be lost` : '';
}

function describeSky({ sky, module }: Scenario): string {
  const systems = sky.systems.map((system) => SYSTEM_TITLES[system]).join(', ');
  const source = describeSource(sky);
  const without = sky.outOfService.length === 0 ? '' : ` without ${sky.outOfService.join(', ')}`;
  const deaf = sky.systems.filter((each) => !hears(module.receiver, each));
  const unheard =
    deaf.length === 0 ? '' : ` (the receiver does not hear ${deaf.map((each) => SYSTEM_TITLES[each]).join(', ')})`;
  const isMoved = sky.shift && (sky.almanac !== null || sky.navigation !== null);
  return `${systems}${unheard}, ${source}${isMoved ? ' (moved if it is of another time)' : ''}${without}`;
}

function describeSource({ almanac, navigation }: Scenario['sky']): string {
  if (almanac !== null) return `almanac ${almanac.path}`;
  return navigation === null ? 'reference constellation' : `navigation ${navigation.path}`;
}

/** Surroundings in words, with their measures. */
function describeSurroundings(around: Surroundings): string {
  switch (around.kind) {
    case 'horizon':
      return `horizon of ${around.points.length} points`;
    case 'street-canyon':
      return `street canyon ${around.widthM} m wide, ${around.leftHeightM} m and ${around.rightHeightM} m high`;
    case 'forest':
      return `forest of ${around.canopyM} m`;
    case 'indoors':
      return `indoors (roof ${around.roofDb} dB, walls ${around.wallDb} dB)`;
    default:
      return around.kind;
  }
}

/** Nothing for all errors; else what is left out. */
function describeErrors(errors: ErrorSwitches): string {
  const off = Object.entries(errors).filter(([, isOn]) => !isOn);
  if (off.length === 0) return '';
  const words = off.map(([name]) => name.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`));
  return off.length === Object.keys(errors).length ? ', without errors' : `, without errors of ${words.join(', ')}`;
}

/** Where the steps described so far end. */
interface Reached {
  place?: Place;
}

/** The steps in words; distances along the geodesics, between the places that the step names or has reached. */
function describeStep(step: RouteStep, indent: string, reached: Reached): string[] {
  const [first, ...inner] = describeMove(step, indent, reached);
  const around = step.surroundings === undefined ? '' : `, ${describeSurroundings(step.surroundings)}`;
  return [`${first}${around}`, ...inner];
}

function describeMove(step: RouteStep, indent: string, reached: Reached): string[] {
  const start = `  ${indent}`;
  if (step.kind === 'hold') {
    if (step.at) reached.place = step.at;
    return [`${start}hold for ${clock(step.durationS)}${step.at ? ` at ${formatPlace(step.at)}` : ''}`];
  }
  if (step.kind === 'repeat') {
    const inner = step.steps.flatMap((each) => describeStep(each, `${indent}  `, reached));
    return [`${start}${step.times} times over:`, ...inner];
  }
  const places = step.kind === 'go' ? step.via : step.points;
  const length = distance([...(reached.place && step.kind === 'go' ? [reached.place] : []), ...places]);
  const isKnown = step.kind === 'track' || reached.place !== undefined || places.length > 1;
  reached.place = places.at(-1) ?? reached.place;
  const far = isKnown ? length : 'on';
  if (step.kind === 'track') {
    const pace = step.speedMps === undefined ? 'by its own times' : `at ${kmh(step.speedMps)}`;
    return [`${start}follow ${step.source}, ${places.length} points, ${far}, ${pace}`];
  }
  const by = places.length > 1 ? ` through ${places.length} places` : '';
  return [`${start}go ${far}${by} at ${kmh(step.speedMps)}, to ${formatPlace(places.at(-1) as Place)}`];
}

function table(timeline: readonly TimelineEntry[], runS: number): string[] {
  return timeline.map((entry) => {
    const until = describeUntil(entry);
    const what = describeEntry(entry);
    const never = entry.atS >= runS ? '   (after the end: never)' : '';
    return `  ${String(entry.place).padStart(2)}  ${clock(entry.atS).padStart(8)} ${until.padEnd(12)}  ${what}${never}`;
  });
}

function describeUntil(entry: TimelineEntry): string {
  if (entry.kind === 'command' || entry.kind === 'clear' || entry.kind === 'stop') return '';
  const lastsS = entry.kind === 'fault' ? lengthS(entry) : (entry.forS ?? Infinity);
  if (entry.kind === 'fault' && entry.chance !== null) {
    return entry.chance.untilS === Infinity ? 'to the end' : `to ${clock(entry.chance.untilS)}`;
  }
  return lastsS === Infinity ? 'to the end' : `to ${clock(entry.atS + lastsS)}`;
}

function describeEntry(entry: TimelineEntry): string {
  if (entry.kind === 'command') return `the host sends ${entry.bytes.length} bytes`;
  if (entry.kind === 'clear') return `${entry.entry} is over`;
  if (entry.kind === 'stop')
    return `the run ends${entry.stop === 'at-once' ? ' at once' : ', with the sentence on the line'}`;
  if (entry.kind === 'surroundings') return describeSurroundings(entry.surroundings);
  const lastsS = lengthS(entry);
  const each = lastsS === Infinity ? '' : `, ${clock(lastsS)} each`;
  const often = entry.chance === null ? '' : `, ${rate(entry.chance.ratePerS)} at random${each}`;
  return `${entry.fault.name}${settings(entry.fault, entry.settings)}${often}`;
}

/** How often, in the unit that gives the plainest number: `2 /min`. */
function rate(ratePerS: number): string {
  const units: readonly [string, number][] = [
    ['/s', 1],
    ['/min', 60],
    ['/h', 3600],
    ['/d', 86_400],
  ];
  const plain = units.find(([, seconds]) => /^\d+(\.\d)?$/.test(String(Number((ratePerS * seconds).toPrecision(6)))));
  const [unit, seconds] = plain ?? ['/d', 86_400];
  return `${Number((ratePerS * seconds).toPrecision(6))} ${unit}`;
}

/** A fault's settings as they would be typed: `(off 1 s, start hot)`; without those that narrow or add nothing. */
function settings(fault: FaultKind, values: Readonly<Record<string, unknown>>): string {
  const telling = Object.entries(asWritten(fault, values) as object).filter(([, value]) => !PLAIN.includes(value));
  const named = telling.map(([key, value]) => `${key} ${typed(value)}`);
  return named.length === 0 ? '' : ` (${named.join(', ')})`;
}

const PLAIN: readonly unknown[] = ['all', false];

/** With the units of quantities, where there is a way to write them. */
function asWritten(fault: FaultKind, values: unknown): unknown {
  try {
    return settingsAsWritten(fault, values);
  } catch (error) {
    if (error instanceof LodestubError) return values;
    throw error;
  }
}

function typed(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(typed).join(', ')}]`;
  if (typeof value === 'object' && value !== null) {
    const inner = Object.entries(value).map(([key, each]) => `${key}: ${typed(each)}`);
    return `{ ${inner.join(', ')} }`;
  }
  const seconds = typeof value === 'string' ? /^(-?[\d.e+-]+) s$/.exec(value)?.[1] : undefined;
  return seconds === undefined ? String(value) : formatQuantity(Number(seconds), 'duration');
}

function shorten(lines: readonly string[], most: number, what: string): readonly string[] {
  if (lines.length <= most) return lines;
  return [...lines.slice(0, most - 1), `  … and ${lines.length - most + 1} more ${what}`];
}

function row(name: string, value: string): string {
  return `${name.padEnd(10)}${value}`;
}

function distance(places: readonly Place[]): string {
  let lengthM = 0;
  for (let i = 1; i < places.length; i++)
    lengthM += geodesicBetween(places[i - 1] as Place, places[i] as Place).lengthM;
  return lengthM < 1000 ? `${Math.round(lengthM)} m` : `${(lengthM / 1000).toFixed(lengthM < 100_000 ? 2 : 0)} km`;
}

function kmh(speedMps: number): string {
  return `${Number((speedMps * 3.6).toFixed(1))} km/h`;
}

function percent(share: number): string {
  return `${Math.round(share * 100)} %`;
}

/** A time of the run: `4:30`, `1:02:03`, `365 d`. */
function clock(totalS: number): string {
  if (totalS >= 172_800 || (totalS > 0 && totalS < 1)) return formatQuantity(totalS, 'duration');
  const tenths = Math.round(totalS * 10);
  const hour = Math.floor(tenths / 36_000);
  const minute = Math.floor((tenths % 36_000) / 600);
  const second = (tenths % 600) / 10;
  const tail = `${second < 10 ? '0' : ''}${Number.isInteger(second) ? second : second.toFixed(1)}`;
  return hour > 0 ? `${hour}:${String(minute).padStart(2, '0')}:${tail}` : `${minute}:${tail}`;
}
