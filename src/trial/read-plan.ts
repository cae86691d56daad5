import { createHash } from 'node:crypto';
import { basename, dirname, resolve } from 'node:path';
import { LodestubError } from '../base/error.js';
import { readYaml, type YamlDocument } from '../scenario/document.js';
import { explain, shown } from '../scenario/explain.js';
import { NODE_FILES, readFailure, shownPath } from '../scenario/files.js';
import { placeholdersOf } from './host/placeholders-of.js';
import type { Pace, TrialPlan } from './trial.js';
import { type RawTrial, TRIAL_SCHEMA } from './trial-schema.js';
import { wrong } from './wrong.js';

/** A trial's file as it was read: what it says, where it stands there, and what is settled without its cases. */
export interface ReadPlan {
  readonly document: YamlDocument;
  readonly raw: RawTrial;
  readonly plan: TrialPlan;
}

/** Reads a trial's file; the scenarios that it names are not looked at. @throws LodestubError `trial.…` */
export async function loadPlan(path: string): Promise<ReadPlan> {
  let text: string;
  try {
    text = await NODE_FILES.readText(path);
  } catch (error) {
    const hint = 'Name the file of a trial.';
    const detail = { path: shownPath(path), summary: readFailure(error), hint, cause: error };
    throw new LodestubError({ code: 'trial.missing', ...detail });
  }
  return readPlan(text, shownPath(path), dirname(resolve(path)));
}

/**
 * Reads a trial's text.
 * @param file its name, for messages
 * @param baseFolder where the files that it names are looked for
 * @throws LodestubError `trial.…`
 */
export function readPlan(text: string, file: string, baseFolder: string): ReadPlan {
  const document = readYaml(text, file, 'trial');
  const result = TRIAL_SCHEMA.safeParse(document.value);
  if (!result.success) throw explain(document, result.error.issues, () => null);
  const raw = result.data;
  checkPort(raw, document);
  const plan: TrialPlan = {
    title: raw.title ?? basename(file).replace(/\.ya?ml$/i, ''),
    file,
    baseFolder,
    textDigest: createHash('sha256').update(text).digest('hex').slice(0, 16),
    pace: paceOf(raw.pace),
    host: raw.host,
    port: raw.port ?? null,
    link: raw.link ?? null,
    openWithinMs: raw['open-within'] * 1000,
    settleMs: raw.settle * 1000,
    reports: raw.reports,
    expectations: raw.expect,
  };
  return { document, raw, plan };
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
    const isTaken = raw.reports.from.kind === 'tcp' || raw.reports.from.kind === 'http';
    if (used.includes('reports') && !isTaken) {
      const received = `{reports} beside reports from ${raw.reports.from.kind}`;
      throw wrong(document, ['host', 'command'], '{reports} where they are taken by tcp or http', received);
    }
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
