import { basename, dirname, isAbsolute, join, resolve } from 'node:path';
import { LodestubError } from '../base/error.js';
import { suggest } from '../base/nearest.js';
import type { ValuePath, YamlDocument } from '../scenario/document.js';
import { mistake, report, shown } from '../scenario/explain.js';
import { isFileName, NODE_FILES, readFailure, shownPath } from '../scenario/files.js';
import { readScenario } from '../scenario/read.js';
import type { Scenario, ScenarioOverrides } from '../scenario/scenario.js';
import { findScenario, resolveModule } from '../scenario/shipped.js';
import { axisValuesOf } from './axis-values.js';
import { AXES, matches, type Pattern } from './matrix.js';
import type { ReadPlan } from './read-plan.js';
import type { TrialCase } from './trial.js';
import type { RawTrial } from './trial-schema.js';
import { withFaults } from './with-faults.js';
import { wrong } from './wrong.js';

/** What a trial without sets of faults calls its only one. */
const NO_FAULTS = 'none';

/** A scenario that the trial names. */
interface Named {
  /** As the trial has it. */
  readonly given: string;
  readonly label: string;
  /** For messages. */
  readonly file: string;
  readonly baseFolder: string;
  readonly text: string;
  readonly own: Scenario;
}

/**
 * A trial's cases, exclusions left out, in the order of the axes, and of each combination but the seed the scenario as
 * it is played.
 * @throws LodestubError `trial.…`, and what a scenario or module of it gives
 */
export async function readCases(read: ReadPlan): Promise<{ cases: TrialCase[]; played: Scenario[] }> {
  const { raw, document, plan } = read;
  const { baseFolder } = plan;
  await checkModules(raw, baseFolder, document);
  const scenarios = await readScenarios(listOf(raw.scenario), baseFolder, document);
  const { cases, played } = await casesOf(raw, scenarios, baseFolder, document);
  checkTwice(cases, document);
  checkNames(raw, cases, scenarios, document);
  const wanted = cases.filter(
    (each) => !raw.exclude.some((pattern) => matches(axisValuesOf(each), excluded(pattern, scenarios))),
  );
  const free = wanted.find((each) => !raw.expect.some(({ only }) => matches(axisValuesOf(each), only)));
  if (free !== undefined) throw wrong(document, ['expect'], 'an expectation for each case', `none for ${free.id}`);
  if (wanted.length === 0) throw wrong(document, ['exclude'], 'a case that is left to be played', 'none');
  checkWindows(read, wanted, played);
  return { cases: wanted, played: [...played.values()] };
}

function listOf<Value>(value: Value | Value[]): Value[] {
  return Array.isArray(value) ? value : [value];
}

async function readScenarios(names: readonly string[], baseFolder: string, document: YamlDocument): Promise<Named[]> {
  const files = await Promise.all(
    names.map(async (given, index) => {
      try {
        const path = isFileName(given) && !isAbsolute(given) ? join(baseFolder, given) : await findScenario(given);
        const text = await NODE_FILES.readText(path);
        return { given, path, text };
      } catch (error) {
        const at = names.length === 1 ? ['scenario'] : ['scenario', index];
        const said = error instanceof LodestubError ? error : null;
        const summary = said === null ? `${given}: ${readFailure(error)}` : `no scenario has the name ${given}`;
        throw report(document, [
          mistake(document, at, {
            kind: 'missing',
            summary,
            hint: said?.hint ?? 'A path is relative to the trial’s file.',
          }),
        ]);
      }
    }),
  );
  const labels = files.map(({ given }) => labelOf(given));
  return Promise.all(
    files.map(async ({ given, path, text }, index) => {
      const label = labels[index] as string;
      const isSole = labels.indexOf(label) === labels.lastIndexOf(label);
      const file = shownPath(path);
      const own = await readScenario(text, { file, baseFolder: dirname(path) });
      return {
        given,
        label: isSole ? label : given.replace(/^\.\//, '').replaceAll('/', '.'),
        file,
        baseFolder: dirname(path),
        text,
        own,
      };
    }),
  );
}

/** Modules are found before they are put to scenarios, so that a mistake has its place in the trial. */
async function checkModules(raw: RawTrial, baseFolder: string, document: YamlDocument): Promise<void> {
  for (const [index, name] of listOf(raw.module ?? []).entries()) {
    try {
      await resolveModule(name, baseFolder, NODE_FILES);
    } catch (error) {
      if (!(error instanceof LodestubError) || !/^module\.(missing|unknown-name)$/.test(error.code)) throw error;
      const at = Array.isArray(raw.module) ? ['module', index] : ['module'];
      const summary = `no module ${name}: ${error.summary ?? 'it is neither the name of a profile nor a file'}`;
      throw report(document, [mistake(document, at, { kind: 'missing', summary, hint: error.hint })]);
    }
  }
}

/** The name of a scenario or module in a case's id. */
function labelOf(given: string): string {
  return isFileName(given) ? basename(given).replace(/\.ya?ml$/i, '') : given;
}

/** Every case in the order of the axes, and of each combination but the seed the scenario as it is played. */
async function casesOf(raw: RawTrial, scenarios: readonly Named[], baseFolder: string, document: YamlDocument) {
  const modules = raw.module === undefined ? [null] : listOf(raw.module);
  const seeds = raw.seed === undefined ? [null] : listOf(raw.seed);
  const cases: TrialCase[] = [];
  const played = new Map<string, Scenario>();
  for (const scenario of scenarios) {
    for (const module of modules) {
      const changes: ScenarioOverrides = {
        ...(module === null ? {} : { module: isFileName(module) ? resolve(baseFolder, module) : module }),
        ...(raw.duration === undefined ? {} : { durationS: raw.duration }),
      };
      const sets = await setsOf(document, scenario, changes);
      for (const { faults, ready } of sets) {
        played.set(playedKey({ scenario: scenario.label, module: ready.module.name, faults }), ready);
      }
      for (const seed of seeds) {
        for (const { faults, text, ready } of sets) {
          checkLength(ready, scenario, document);
          checkTimes(ready, faults, raw, document);
          const place = { scenario: scenario.label, module: ready.module.name, seed: seed ?? ready.seed, faults };
          const source = { file: scenario.file, text, changes: { ...changes, ...(seed === null ? {} : { seed }) } };
          const id = `${place.scenario}/${place.module}/seed-${place.seed}/${faults}`;
          cases.push({ id, ...place, source, baseFolder: scenario.baseFolder });
        }
      }
    }
  }
  return { cases, played };
}

/** A scenario with each of the trial's sets of faults. */
async function setsOf(document: YamlDocument, scenario: Named, changes: ScenarioOverrides) {
  const sets = (document.value.faults ?? { [NO_FAULTS]: [] }) as Readonly<Record<string, readonly unknown[]>>;
  return Promise.all(
    Object.entries(sets).map(async ([faults, entries]) => {
      const text = withFaults(scenario.text, entries);
      return { faults, text, ready: await readFor(text, scenario, changes, faults) };
    }),
  );
}

/** Reads what is played; what is wrong with it and was not with the scenario alone comes from the set or the module. */
async function readFor(text: string, scenario: Named, changes: ScenarioOverrides, faults: string): Promise<Scenario> {
  try {
    return await readScenario(text, { file: scenario.file, baseFolder: scenario.baseFolder, overrides: changes });
  } catch (error) {
    if (!(error instanceof LodestubError)) throw error;
    const { code, expected, received, hint, summary, path } = error;
    const where = `${path ?? scenario.file}, with the set of faults ${faults} at the end of its timeline`;
    throw new LodestubError({ code, path: where, expected, received, hint, summary, cause: error });
  }
}

function checkLength(ready: Scenario, scenario: Named, document: YamlDocument): void {
  if ((ready.durationS ?? ready.trajectory.durationS) !== Infinity) return;
  throw wrong(document, ['duration'], 'how long a case lasts', `the scenario ${scenario.label}, which has no end`);
}

/** A fault that would come after the case's end would never come. */
function checkTimes(ready: Scenario, faults: string, raw: RawTrial, document: YamlDocument): void {
  const lengthS = ready.durationS ?? ready.trajectory.durationS;
  for (const [index, { at }] of (raw.faults?.[faults] ?? []).entries()) {
    if (at < lengthS) continue;
    throw wrong(document, ['faults', faults, index, 'at'], `a time before the case’s end, at ${lengthS} s`, `${at} s`);
  }
}

/** What an expectation waits for must be able to come in one of the cases that it is for. */
function checkWindows(
  { raw, document }: ReadPlan,
  cases: readonly TrialCase[],
  played: ReadonlyMap<string, Scenario>,
): void {
  for (const [index, { only, window }] of raw.expect.entries()) {
    const meant = cases
      .filter((each) => matches(axisValuesOf(each), only))
      .map((each) => played.get(playedKey(each)) as Scenario);
    const at = (key: string) => ['expect', index, key];
    if (meant.length === 0) throw wrong(document, at('only'), 'cases that are played', 'cases that are all left out');
    const { during, fromS } = window;
    const longestS = Math.max(...meant.map(({ durationS, trajectory }) => durationS ?? trajectory.durationS));
    if (fromS !== null && fromS >= longestS) {
      throw wrong(document, at('from'), `a time before the case’s end, at ${longestS} s`, `${fromS} s`);
    }
    if (during === null || meant.some((scenario) => duringNames(scenario).includes(during))) continue;
    const known = [...new Set(meant.flatMap(duringNames))];
    const what = known.length === 0 ? 'something that comes: these cases have no faults' : `one of ${known.join(', ')}`;
    const detail = { kind: 'unknown-word', expected: what, received: shown(during), hint: suggest(during, known) };
    throw report(document, [mistake(document, at('during'), detail)]);
  }
}

/** All that `during` may name in a scenario: entries, their first occurrence, kinds of faults, surroundings. */
function duringNames({ timeline, route, surroundings }: Scenario): string[] {
  const ofEntries = timeline.flatMap((entry) => {
    if (entry.kind === 'fault') return [entry.name, `${entry.name}.1`, entry.fault.name];
    return entry.kind === 'surroundings' ? [entry.name, `${entry.name}.1`, entry.surroundings.kind] : [];
  });
  const ofRoute = JSON.stringify([route.map((step) => step.surroundings?.kind), surroundings.kind]);
  return [...ofEntries, ...SURROUNDINGS.filter((kind) => ofRoute.includes(`"${kind}"`))];
}

const SURROUNDINGS: readonly string[] = ['tunnel', 'horizon', 'street-canyon', 'forest', 'indoors'];

/** What cases that differ in the seed alone have in common. */
function playedKey({ scenario, module, faults }: Pick<TrialCase, 'scenario' | 'module' | 'faults'>): string {
  return JSON.stringify([scenario, module, faults]);
}

/** What a trial's `exclude` means, by the labels that cases have. */
function excluded(raw: RawTrial['exclude'][number], scenarios: readonly Named[]): Pattern {
  const label = (given: string) => scenarios.find((each) => each.given === given)?.label ?? labelOf(given);
  return {
    ...(raw.scenario === undefined ? {} : { scenario: listOf(raw.scenario).map(label) }),
    ...(raw.module === undefined ? {} : { module: listOf(raw.module).map(labelOf) }),
    ...(raw.seed === undefined ? {} : { seed: listOf(raw.seed).map(String) }),
    ...(raw.faults === undefined ? {} : { faults: listOf(raw.faults) }),
  };
}

/** Two cases of one id could not be told apart. */
function checkTwice(cases: readonly TrialCase[], document: YamlDocument): void {
  const seen = new Set<string>();
  for (const { id } of cases) {
    if (seen.has(id)) throw wrong(document, [], 'each value of an axis once', `the case ${id} a second time`);
    seen.add(id);
  }
}

/** A name that no case has would exclude nothing, or never be tested. */
function checkNames(
  raw: RawTrial,
  cases: readonly TrialCase[],
  scenarios: readonly Named[],
  document: YamlDocument,
): void {
  const check = (pattern: Pattern, at: ValuePath) => {
    for (const axis of AXES) {
      const known = [...new Set(cases.map((each) => axisValuesOf(each)[axis]))];
      const odd = pattern[axis]?.find((value) => !known.includes(value));
      if (odd === undefined) continue;
      const detail = { kind: 'unknown-word', expected: `one of ${known.join(', ')}`, received: shown(odd) };
      throw report(document, [mistake(document, [...at, axis], detail)]);
    }
  };
  for (const [index, pattern] of raw.exclude.entries()) check(excluded(pattern, scenarios), ['exclude', index]);
  for (const [index, each] of raw.expect.entries()) check(each.only, ['expect', index, 'only']);
}
