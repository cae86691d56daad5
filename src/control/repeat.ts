import { readFile } from 'node:fs/promises';
import { dirname, isAbsolute, join, relative, resolve } from 'node:path';
import {
  type Document,
  isAlias,
  isMap,
  isScalar,
  isSeq,
  type Pair,
  parseDocument,
  type Scalar,
  type YAMLMap,
  type YAMLSeq,
} from 'yaml';
import { LodestubError } from '../base/error.js';
import { isFileName } from '../scenario/files.js';
import { readScenario } from '../scenario/read.js';
import type { ScenarioOverrides } from '../scenario/scenario.js';
import { DEFAULT_MODULE, listModules } from '../scenario/shipped.js';
import type { JournalRecord } from '../truth/journal-record.js';
import { type Played, playedOf, seconds } from './by-hand.js';

/** The first keys of a scenario, in the order in which they are written. */
const FIRST_KEYS = ['lodestub', 'title', 'seed', 'start', 'duration', 'module'];

/** What the first record of a journal tells of where the scenario came from. */
interface Source {
  readonly file: string | null;
  readonly text: string;
  readonly changes: ScenarioOverrides;
}

/** Where paths are relative to: before, and in the new file. */
interface Move {
  readonly from: string;
  readonly to: string;
}

/**
 * A scenario that repeats a run: the text that was played, with what was set in its place, and with what was done by
 * hand or by the host in its timeline. The text keeps its comments.
 * @param records the run's journal
 * @param out the file that the scenario is to stand in: paths are made relative to it
 * @throws LodestubError `journal.…`, and what {@link readScenario} finds
 */
export async function repeatOf(records: Iterable<JournalRecord>, out: string): Promise<string> {
  const played = playedOf(records);
  const { run } = played;
  const source = sourceOf(run.scenario);
  const document = parseDocument(source.text, { version: '1.2', logLevel: 'error' });
  const root = document.contents;
  if (!isMap(root)) throw noScenario('its text is no mapping');
  const to = resolve(dirname(out));
  const move = { from: resolve(source.file === null ? '.' : dirname(source.file)), to };
  movePaths(document, root as YAMLMap, move);
  await setModule(document, source.changes, move);
  if (!document.has('title')) set(document, 'title', run.title);
  set(document, 'seed', run.seed);
  const options = { file: out, baseFolder: to };
  let plannedS = source.changes.durationS;
  if (run.recording === undefined) {
    set(document, 'start', run.startUtc.replace('.000Z', 'Z'));
    const { durationS, trajectory } = await readScenario(String(document), options);
    plannedS ??= durationS ?? trajectory.durationS;
  } else setShift(document, run.recording.shiftS);
  const lengthS = lengthOf(played, plannedS ?? Infinity);
  if (lengthS !== Infinity) set(document, 'duration', seconds(lengthS * 1000));
  append(document, played);
  const text = document.toString({ lineWidth: 0 });
  await readScenario(text, options);
  return text;
}

/** @throws LodestubError `journal.no-scenario` */
function sourceOf(scenario: Readonly<Record<string, unknown>>): Source {
  const { file, text, changes } = scenario ?? {};
  if (typeof text !== 'string' || text === '') throw noScenario('its first record does not have the text');
  const isName = typeof file === 'string';
  return { file: isName ? file : null, text, changes: (changes ?? {}) as ScenarioOverrides };
}

function noScenario(summary: string): LodestubError {
  return new LodestubError({
    code: 'journal.no-scenario',
    summary: `the journal does not tell which scenario was played: ${summary}`,
    hint: 'Record the run again with this version.',
  });
}

/** Sets a key, and puts one that was not there in its place among the first. */
function set(document: Document, key: string, value: unknown): void {
  const root = document.contents as YAMLMap;
  if (document.has(key)) {
    document.set(key, value);
    return;
  }
  const before = FIRST_KEYS.slice(0, FIRST_KEYS.indexOf(key));
  const nameOf = ({ key: name }: Pair) => String(isScalar(name) ? name.value : name);
  const place = root.items.findLastIndex((pair) => before.includes(nameOf(pair)));
  root.items.splice(place + 1, 0, document.createPair(key, value) as (typeof root.items)[number]);
}

/** As long as was planned; of a run that something has ended before its journal did, through its last epoch. */
function lengthOf({ run, lastEpochMs, hasEnd }: Played, plannedS: number): number {
  if (hasEnd) return plannedS;
  // The epochs of a recording come at all kinds of intervals.
  const moreMs = run.recording === undefined ? run.epochMs : SHORTEST_MS;
  return Math.min(plannedS, ((lastEpochMs ?? 0) + moreMs) / 1000);
}

/** Times are kept to the microsecond. */
const SHORTEST_MS = 0.001;

/** Times that were moved to now are moved by as much. */
function setShift(document: Document, shiftS: number): void {
  const recording = plain(document, document.get('recording', true));
  if (isMap(recording) && recording.has('shift-time')) recording.set('shift-time', `${shiftS} s`);
}

function append(document: Document, { entries: all }: Played): void {
  const written = (document.toJS() as { timeline?: ReadonlyArray<{ id?: unknown }> }).timeline ?? [];
  // A run that repeats another one has its deeds in the timeline already.
  const entries = all.filter(({ id }) => id === undefined || !written.some((each) => each.id === id));
  if (entries.length === 0) return;
  let timeline = document.get('timeline', true) as unknown;
  if (!isSeq(timeline)) {
    const plain = isAlias(timeline) ? timeline.toJS(document) : [];
    timeline = document.createNode(plain);
    document.set('timeline', timeline);
  }
  const list = timeline as YAMLSeq;
  list.flow = false;
  for (const [index, entry] of entries.entries()) {
    const node = document.createNode(entry);
    node.flow = true;
    if (index === 0) node.commentBefore = ' What was done by hand, and by the host:';
    list.items.push(node);
  }
}

/** Files that the scenario names are found from the new place too. */
function movePaths(document: Document, root: YAMLMap, move: Move): void {
  const moved = new Set<Scalar>();
  const movePath = (map: unknown, key: string, isPath: (text: string) => boolean) => {
    const scalar = isMap(map) ? plain(document, map.get(key, true)) : null;
    if (!isScalar(scalar) || typeof scalar.value !== 'string' || moved.has(scalar) || !isPath(scalar.value)) return;
    moved.add(scalar);
    scalar.value = movedPath(scalar.value, move);
  };
  const always = () => true;
  const moveTracks = (steps: unknown) => {
    const list = plain(document, steps);
    if (!isSeq(list)) return;
    for (const item of list.items) {
      const step = plain(document, item);
      movePath(step, 'track', always);
      if (isMap(step)) moveTracks(step.get('route', true));
    }
  };
  const sky = plain(document, root.get('sky', true));
  movePath(sky, 'almanac', always);
  movePath(sky, 'navigation', always);
  moveTracks(root.get('route', true));
  movePath(root, 'recording', always);
  movePath(plain(document, root.get('recording', true)), 'file', always);
  movePath(root, 'module', isFileName);
  movePath(plain(document, root.get('module', true)), 'dialect', isFileName);
}

/** A node, or what an alias stands for. */
function plain(document: Document, node: unknown): unknown {
  return isAlias(node) ? node.resolve(document) : node;
}

/** A path as seen from the new place. */
function movedPath(path: string, { from, to }: Move): string {
  if (isAbsolute(path)) return path;
  const seen = relative(to, join(from, path));
  return seen.startsWith('.') ? seen : `./${seen}`;
}

/** The module that was played: by the command line's name, and at its speed. */
async function setModule(document: Document, { module, baud }: ScenarioOverrides, move: Move): Promise<void> {
  if (module !== undefined) {
    // On the command line a path is relative to the working directory.
    set(document, 'module', isFileName(module) ? movedPath(module, { from: resolve('.'), to: move.to }) : module);
  }
  if (baud === undefined) return;
  if (!isMap(plain(document, document.get('module', true)))) {
    const name = document.has('module') ? String(document.get('module')) : DEFAULT_MODULE;
    const profile = await moduleMapping(name, move);
    if (document.has('module')) document.set('module', profile);
    else set(document, 'module', profile);
  }
  (plain(document, document.get('module', true)) as YAMLMap).set('baud', baud);
}

/** A module's profile as it stands in its file, to be part of the scenario. */
async function moduleMapping(name: string, { to }: Move): Promise<YAMLMap> {
  const known = (await listModules()).find((each) => each.name === name)?.file;
  const file = known ?? resolve(to, name);
  const document = parseDocument(await readFile(file, 'utf8'), { version: '1.2', logLevel: 'error' });
  const profile = document.contents as unknown as YAMLMap;
  profile.delete('lodestub-module');
  profile.commentBefore = null;
  const dialect = profile.get('dialect');
  if (typeof dialect === 'string' && isFileName(dialect)) {
    profile.set('dialect', movedPath(dialect, { from: dirname(file), to }));
  }
  return profile;
}
