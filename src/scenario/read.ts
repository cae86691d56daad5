import { basename, dirname, isAbsolute, join } from 'node:path';
import { z } from 'zod';
import { LodestubError } from '../base/error.js';
import { type LeapSeconds, PUBLISHED_LEAP_SECONDS } from '../base/leap-seconds.js';
import type { FaultKind } from '../faults/fault.js';
import { lengthS } from '../faults/occurrence.js';
import { FAULT_KINDS } from '../faults/registry.js';
import type { Recording } from '../replay/recording.js';
import { buildTrajectory } from '../sim/trajectory/build-trajectory.js';
import type { RouteStep } from '../sim/trajectory/route.js';
import type { Trajectory } from '../sim/trajectory/trajectory.js';
import { checkChance } from './check-chance.js';
import { resolveDialect } from './dialect.js';
import { readYaml, type ValuePath, type YamlDocument } from './document.js';
import { explain, mistake, nameOf, report, type SchemaFacts, shown, valueAt } from './explain.js';
import { onlyOneOf } from './fields.js';
import { moduleFrom } from './module.js';
import { checkOverrides } from './overrides.js';
import { receiverSettings } from './receiver-schema.js';
import { checkKind, readRecording, recordedParts } from './recording.js';
import type {
  FileReader,
  LiveOffer,
  Module,
  NamedText,
  Scenario,
  ScenarioOverrides,
  SkyChoice,
  TimelineEntry,
} from './scenario.js';
import { type RawEntry, type RawOffer, type RawScenario, type RawStep, scenarioSchema } from './scenario-schema.js';
import { findScenario, NODE_FILES, readFailure, readHint, resolveModule, shownPath } from './shipped.js';

/** What {@link readScenario} needs to know beside the text. */
export interface ReadOptions {
  /** The scenario's file, for messages. */
  readonly file: string;
  /** Where the files that it names are looked for. */
  readonly baseFolder: string;
  readonly files?: FileReader;
  readonly overrides?: ScenarioOverrides;
  /** The kinds of fault that the timeline may name. */
  readonly kinds?: readonly FaultKind[];
  /** The recording that the text names, where it has been read already. */
  readonly recording?: Recording;
}

/** What the steps of reading share. */
interface Reading {
  readonly document: YamlDocument;
  readonly baseFolder: string;
  readonly files: FileReader;
  readonly kinds: readonly FaultKind[];
  readonly recording?: Recording | undefined;
}

/**
 * Reads and checks a scenario, and the files that it names.
 * @throws LodestubError `scenario.…`, `module.…`, and what a track's file, the whole route or a recording gives, with
 *   its place
 */
export async function readScenario(text: string, options: ReadOptions): Promise<Scenario> {
  const { file, baseFolder, files = NODE_FILES, overrides = {}, kinds = FAULT_KINDS } = options;
  checkOverrides(overrides);
  const document = readYaml(text, file, 'scenario');
  const result = scenarioSchema(kinds).safeParse(document.value);
  if (!result.success) throw explain(document, result.error.issues, (at) => settingFacts(document, kinds, at));
  const raw = result.data;
  checkKind(document, raw, kinds);
  const reading = { document, baseFolder, files, kinds, recording: options.recording };
  const route = await readRoute(raw.route ?? [], ['route'], reading);
  const module = await readModuleOf(raw, overrides, reading);
  return {
    title: raw.title ?? basename(file).replace(/\.ya?ml$/i, ''),
    seed: overrides.seed ?? raw.seed,
    durationS: overrides.durationS ?? raw.duration ?? null,
    module,
    receiverStart: raw.receiver.start,
    errors: raw.errors,
    leapSeconds: leapSecondsOf(raw.sky['leap-second']),
    sky: await readSky(raw.sky, reading),
    surroundings: raw.surroundings,
    route,
    ...(await readMotion(raw, route, module.baud, reading)),
    timeline: readTimeline(raw.timeline, document, kinds),
    live: raw.live.map((offer) => readOffer(offer, kinds)),
    file,
    source: { file, text, changes: overrides },
  };
}

/**
 * Reads a scenario from a file, or a shipped one by its name.
 * @throws LodestubError as {@link readScenario}; `scenario.missing` where there is none
 */
export async function loadScenarioFile(nameOrPath: string, overrides: ScenarioOverrides = {}): Promise<Scenario> {
  const path = await findScenario(nameOrPath);
  let text: string;
  try {
    text = await NODE_FILES.readText(path);
  } catch (error) {
    const hint = 'Name a file, or one of the scenarios that lodestub list scenarios shows.';
    const detail = { path: shownPath(path), summary: readFailure(error), hint, cause: error };
    throw new LodestubError({ code: 'scenario.missing', ...detail });
  }
  const file = shownPath(path);
  return readScenario(text, { file, baseFolder: dirname(path), overrides });
}

/** How the antenna moves along the route; or what is played in place of a receiver. */
async function readMotion(
  raw: RawScenario,
  route: readonly RouteStep[],
  baud: number,
  { document, baseFolder, recording }: Reading,
): Promise<Pick<Scenario, 'recording' | 'start' | 'trajectory'>> {
  if (raw.recording === undefined)
    return { recording: null, start: raw.start, trajectory: buildRoute(route, document) };
  return recordedParts(recording ?? (await readRecording(raw.recording, document, baseFolder)), baud, document);
}

async function readModuleOf(raw: RawScenario, overrides: ScenarioOverrides, reading: Reading): Promise<Module> {
  const { document, baseFolder, files } = reading;
  let profile: Module;
  if (overrides.module !== undefined) {
    profile = await resolveModule(overrides.module, '', files);
  } else if (typeof raw.module === 'string') {
    try {
      profile = await resolveModule(raw.module, baseFolder, files);
    } catch (error) {
      throw placed(error, ['module.missing', 'module.unknown-name'], document, ['module']);
    }
  } else {
    const inline = moduleFrom(raw.module, 'in the scenario', document, ['module']);
    profile = { ...inline, dialect: await resolveDialect(inline.dialectName, baseFolder, files) };
  }
  return {
    ...profile,
    baud: overrides.baud ?? profile.baud,
    receiver: receiverSettings(profile.receiver, raw.receiver),
  };
}

async function readSky(sky: RawScenario['sky'], reading: Reading): Promise<SkyChoice> {
  const { systems, almanac, navigation, shift } = sky;
  if (almanac !== undefined && navigation !== undefined) {
    const expected = onlyOneOf(['almanac', 'navigation']);
    throw report(reading.document, [
      mistake(reading.document, ['sky', 'navigation'], { kind: 'one-of', expected }, true),
    ]);
  }
  if (almanac !== undefined && systems.some((system) => system !== 'gps')) {
    const expected = '[gps] beside an almanac, which tells of GPS alone';
    const hint = 'A navigation file has other systems too, and so have the reference constellations.';
    const detail = { kind: 'range', expected, received: shown(systems), hint };
    throw report(reading.document, [mistake(reading.document, ['sky', 'systems'], detail)]);
  }
  return {
    systems,
    almanac: almanac === undefined ? null : await readNamed(almanac, ['sky', 'almanac'], reading),
    navigation: navigation === undefined ? null : await readNamed(navigation, ['sky', 'navigation'], reading),
    shift,
    outOfService: sky['out-of-service'],
  };
}

/** Those that were inserted, and a fictional one. */
function leapSecondsOf(dayNumber: number | undefined): LeapSeconds {
  return dayNumber === undefined ? PUBLISHED_LEAP_SECONDS : PUBLISHED_LEAP_SECONDS.withOneMore(dayNumber);
}

/** Reads a file that the scenario names. */
async function readNamed(name: string, at: ValuePath, { document, baseFolder, files }: Reading): Promise<NamedText> {
  const path = isAbsolute(name) ? name : join(baseFolder, name);
  try {
    return { path: shownPath(path), text: await files.readText(path) };
  } catch (error) {
    const summary = `${shownPath(path)}: ${readFailure(error)}`;
    throw report(document, [mistake(document, at, { kind: 'missing', summary, ...readHint(error), cause: error })]);
  }
}

async function readRoute(steps: readonly RawStep[], at: ValuePath, reading: Reading): Promise<RouteStep[]> {
  const route: RouteStep[] = [];
  for (const [index, step] of steps.entries()) route.push(await readStep(step, [...at, index], reading));
  return route;
}

async function readStep(step: RawStep, at: ValuePath, reading: Reading): Promise<RouteStep> {
  const around = step.surroundings === undefined ? {} : { surroundings: step.surroundings };
  if ('hold' in step) {
    return { kind: 'hold', durationS: step.hold, ...(step.at === undefined ? {} : { at: step.at }), ...around };
  }
  if ('repeat' in step) {
    const steps = await readRoute(step.route, [...at, 'route'], reading);
    return { kind: 'repeat', times: step.repeat, steps, ...around };
  }
  const manner = { accelerationMps2: step.acceleration, yawRateDegps: step['yaw-rate'] };
  if ('go' in step) {
    const radius = step['turn-radius'];
    const turn = radius === undefined ? {} : { turnRadiusM: radius };
    return { kind: 'go', via: step.go, speedMps: step.speed, ...manner, ...turn, ...around };
  }
  const { path, text } = await readNamed(step.track, [...at, 'track'], reading);
  // Most scenarios have no track: the XML reader is loaded for those that have one.
  const { readGpx } = await import('./gpx.js');
  const speed = step.speed === undefined ? {} : { speedMps: step.speed };
  return { kind: 'track', points: readGpx(text, path), source: path, ...manner, ...speed, ...around };
}

/** Builds the route, and says with its line what does not fit together. */
function buildRoute(route: readonly RouteStep[], document: YamlDocument): Trajectory {
  try {
    return buildTrajectory(route);
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    const parts = (error.path ?? 'route').match(/[^.[\]]+/g) ?? [];
    const at = parts.map((part) => (/^\d+$/.test(part) ? Number(part) : part));
    throw placed(error, [error.code], document, valueAt(document.value, at) === undefined ? ['route'] : at);
  }
}

/** An error of one of the codes, with the place in the document put before what it says of where. */
function placed(error: unknown, codes: readonly string[], document: YamlDocument, at: ValuePath): unknown {
  if (!(error instanceof LodestubError) || !codes.includes(error.code)) return error;
  const where = `${document.place(document.offsetOf(at))}, ${nameOf(at)}`;
  const { code, expected, received, hint } = error;
  return new LodestubError({
    code,
    path: where,
    ...(expected === undefined ? {} : { expected }),
    ...(received === undefined ? {} : { received }),
    ...(hint === undefined ? {} : { hint }),
    ...(error.summary === undefined ? {} : { summary: error.summary }),
    cause: error,
  });
}

function readTimeline(
  entries: readonly RawEntry[],
  document: YamlDocument,
  kinds: readonly FaultKind[],
): TimelineEntry[] {
  const names = new Set<string>();
  return entries.map((entry, index) => {
    const at = ['timeline', index];
    const { id } = entry;
    if (id !== undefined && names.has(id)) {
      const detail = { kind: 'range', expected: 'a name that no other entry has', received: shown(id) };
      throw report(document, [mistake(document, [...at, 'id'], detail)]);
    }
    if (id !== undefined) names.add(id);
    if (entry.until !== undefined && (entry.chance === undefined || entry.until <= entry.at)) {
      const expected = entry.chance === undefined ? 'chance beside until' : 'a time after at';
      throw report(document, [
        mistake(document, [...at, 'until'], { kind: 'range', expected, received: `${entry.until} s` }),
      ]);
    }
    if (entry.clear !== undefined && !entries.some((other, i) => (other.id ?? String(i + 1)) === entry.clear)) {
      const expected = 'the id of an entry, or the place of one that has none';
      const detail = { kind: 'unknown-word', expected, received: shown(entry.clear) };
      throw report(document, [mistake(document, [...at, 'clear'], detail)]);
    }
    const read = timelineEntry(entry, index + 1, kinds);
    if (read.kind === 'fault' && read.chance !== null) checkChance(lengthS(read), read.chance.ratePerS, at, document);
    return read;
  });
}

function timelineEntry(entry: RawEntry, place: number, kinds: readonly FaultKind[]): TimelineEntry {
  const when = { place, name: entry.id ?? String(place), atS: entry.at, forS: entry.for ?? null };
  if (entry.command !== undefined) return { ...when, kind: 'command', bytes: entry.command };
  if (entry.clear !== undefined) return { ...when, kind: 'clear', entry: entry.clear };
  if (entry.stop !== undefined) return { ...when, kind: 'stop', stop: entry.stop };
  if (entry.surroundings !== undefined) return { ...when, kind: 'surroundings', surroundings: entry.surroundings };
  const { chance: ratePerS, until: untilS = Infinity } = entry;
  const chance = ratePerS === undefined ? null : { ratePerS, untilS };
  return { ...when, kind: 'fault', ...faultOf(entry, kinds), chance };
}

/** Something that may be started by hand, from what the schema gives. */
export function readOffer(offer: RawOffer, kinds: readonly FaultKind[]): LiveOffer {
  const forS = offer.for ?? null;
  if (offer.surroundings !== undefined) return { forS, kind: 'surroundings', surroundings: offer.surroundings };
  return { forS, kind: 'fault', ...faultOf(offer, kinds) };
}

function faultOf(entry: RawOffer, kinds: readonly FaultKind[]) {
  const fault = kinds.find(({ name }) => name === entry.fault);
  if (fault === undefined) throw new Error(`the schema let the fault ${entry.fault} pass`);
  return { fault, settings: entry.with as Record<string, unknown> };
}

/** The keys and bounds of a fault's settings, which its own schema knows. */
function settingFacts(document: YamlDocument, kinds: readonly FaultKind[], at: ValuePath): SchemaFacts | null {
  if ((at[0] !== 'timeline' && at[0] !== 'live') || at[2] !== 'with') return null;
  const name = valueAt(document.value, [...at.slice(0, 2), 'fault']);
  const kind = kinds.find((each) => each.name === name);
  if (kind === undefined) return null;
  const schema = z.toJSONSchema(kind.settings as z.ZodType, { io: 'input', unrepresentable: 'any' });
  return { properties: (schema.properties ?? {}) as SchemaFacts['properties'] };
}
