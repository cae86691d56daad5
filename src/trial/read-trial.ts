import { createHash } from 'node:crypto';
import { basename, dirname, isAbsolute, join, resolve } from 'node:path';
import { LodestubError } from '../base/error.js';
import { VERSION } from '../base/version.js';
import { readYaml, type ValuePath, type YamlDocument } from '../scenario/document.js';
import { explain, mistake, report, shown } from '../scenario/explain.js';
import { isFileName, NODE_FILES, readFailure, shownPath } from '../scenario/files.js';
import { readScenario } from '../scenario/read.js';
import type { Scenario, ScenarioOverrides } from '../scenario/scenario.js';
import { findScenario, resolveModule } from '../scenario/shipped.js';
import { placeholdersOf } from './host/placeholders-of.js';
import { AXES, matches, type Pattern, type Place } from './matrix.js';
import type { Pace, Trial, TrialCase } from './trial.js';
import { type RawTrial, TRIAL_SCHEMA } from './trial-schema.js';
import { withFaults } from './with-faults.js';

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
 * Reads a trial's file, and every scenario and module that it names: each case can be played.
 * @throws LodestubError `trial.…`, and what a scenario or module of it gives
 */
export async function loadTrial(path: string): Promise<Trial> {
  let text: string;
  try {
    text = await NODE_FILES.readText(path);
  } catch (error) {
    const hint = 'Name the file of a trial.';
    const detail = { path: shownPath(path), summary: readFailure(error), hint, cause: error };
    throw new LodestubError({ code: 'trial.missing', ...detail });
  }
  return readTrial(text, shownPath(path), dirname(resolve(path)));
}

/**
 * Reads a trial from its text.
 * @param file its name, for messages
 * @param baseFolder where the files that it names are looked for
 * @throws LodestubError as {@link loadTrial}
 */
export async function readTrial(text: string, file: string, baseFolder: string): Promise<Trial> {
  const document = readYaml(text, file, 'trial');
  const result = TRIAL_SCHEMA.safeParse(document.value);
  if (!result.success) throw explain(document, result.error.issues, () => null);
  const raw = result.data;
  checkPort(raw, document);
  await checkModules(raw, baseFolder, document);
  const scenarios = await readScenarios(listOf(raw.scenario), baseFolder, document);
  const { cases, played } = await casesOf(raw, scenarios, baseFolder, document);
  checkTwice(cases, document);
  checkNames(raw, cases, scenarios, document);
  const wanted = cases.filter(
    (each) => !raw.exclude.some((pattern) => matches(placeOf(each), excluded(pattern, scenarios))),
  );
  const free = wanted.find((each) => !raw.expect.some(({ only }) => matches(placeOf(each), only)));
  if (free !== undefined) throw wrong(document, ['expect'], 'an expectation for each case', `none for ${free.id}`);
  if (wanted.length === 0) throw wrong(document, ['exclude'], 'a case that is left to be played', 'none');
  return {
    title: raw.title ?? basename(file).replace(/\.ya?ml$/i, ''),
    file,
    baseFolder,
    digest: digestOf(text, played),
    cases: wanted,
    pace: paceOf(raw.pace),
    host: raw.host,
    port: raw.port ?? null,
    link: raw.link ?? null,
    openWithinMs: raw['open-within'] * 1000,
    settleMs: raw.settle * 1000,
    reports: raw.reports,
    expectations: raw.expect,
  };
}

/** The scenario of a case, as it is played. @throws LodestubError */
export async function scenarioOf({ source, baseFolder }: TrialCase): Promise<Scenario> {
  const options = { file: source.file as string, baseFolder, overrides: source.changes };
  return readScenario(source.text, options);
}

/** A case's values of the axes, as text. */
export function placeOf({ scenario, module, seed, faults }: TrialCase): Place {
  return { scenario, module, seed: `${seed}`, faults };
}

function listOf<Value>(value: Value | Value[]): Value[] {
  return Array.isArray(value) ? value : [value];
}

function paceOf(raw: RawTrial['pace']): Pace {
  if (typeof raw === 'number') return { kind: 'steady', factor: raw };
  return { kind: 'in-step', patienceMs: (raw === 'in-step' ? 2 : raw['in-step']) * 1000 };
}

/** A host that we start is given its port; one that runs already must know it. */
function checkPort(raw: RawTrial, document: YamlDocument): void {
  const isRunning = raw.host === 'already-running';
  for (const key of ['port', 'link'] as const) {
    if (raw[key] === undefined || isRunning) continue;
    const hint = 'A host that the trial starts is given its port by {port}, {link} or {tcp} in its command.';
    throw wrong(document, [key], 'no such key beside a host with a command', shown(raw[key]), hint);
  }
  if (raw.host !== 'already-running') {
    const used = placeholdersOf(raw.host);
    const other = used.find((name) => name === 'port' || name === 'link');
    if (!used.includes('tcp') || other === undefined) return;
    const hint = 'A case has one port: name the one that the host opens.';
    throw wrong(document, ['host', 'command'], '{tcp}, or {port} and {link}', `{tcp} and {${other}}`, hint);
  }
  const isPty = raw.port === undefined || raw.port === 'pty';
  if (isPty && raw.link === undefined) {
    const hint = 'A pty has another name each time: give it a link that the host opens, such as link: /tmp/gnss.';
    throw wrong(document, ['host'], 'a link, or a port, for a host that runs already', 'neither', hint);
  }
  if (!isPty && raw.link !== undefined) throw wrong(document, ['link'], 'a pty beside a link', shown(raw.port));
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
  const played: Scenario[] = [];
  for (const scenario of scenarios) {
    for (const module of modules) {
      const changes: ScenarioOverrides = {
        ...(module === null ? {} : { module: isFileName(module) ? resolve(baseFolder, module) : module }),
        ...(raw.duration === undefined ? {} : { durationS: raw.duration }),
      };
      const sets = await setsOf(document, scenario, changes);
      played.push(...sets.map(({ ready }) => ready));
      for (const seed of seeds) {
        for (const { faults, text, ready } of sets) {
          checkLength(ready, scenario, document);
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
      const known = [...new Set(cases.map((each) => placeOf(each)[axis]))];
      const odd = pattern[axis]?.find((value) => !known.includes(value));
      if (odd === undefined) continue;
      const detail = { kind: 'unknown-word', expected: `one of ${known.join(', ')}`, received: shown(odd) };
      throw report(document, [mistake(document, [...at, axis], detail)]);
    }
  };
  for (const [index, pattern] of raw.exclude.entries()) check(excluded(pattern, scenarios), ['exclude', index]);
  for (const [index, each] of raw.expect.entries()) check(each.only, ['expect', index, 'only']);
}

function digestOf(text: string, played: readonly Scenario[]): string {
  const hash = createHash('sha256').update(VERSION).update('\0').update(text);
  for (const { source, module } of played)
    hash.update('\0').update(source.text).update('\0').update(JSON.stringify(module));
  return hash.digest('hex').slice(0, 16);
}

function wrong(
  document: YamlDocument,
  at: ValuePath,
  expected: string,
  received: string,
  hint?: string,
): LodestubError {
  const detail = { kind: 'range', expected, received, ...(hint === undefined ? {} : { hint }) };
  return report(document, [mistake(document, at, detail)]);
}
