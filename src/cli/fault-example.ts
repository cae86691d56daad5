import { openMemoryPort } from '../emit/ports/memory-port.js';
import { scenarioOfFailure } from '../faults/catalogue.js';
import type { FaultKind } from '../faults/fault.js';
import { ModuleRun } from '../run/module-run.js';
import { readScenario } from '../scenario/read.js';

/** How long an example lasts, and a step of it, ms: so often the port is told what time it is. */
const LASTS_MS = 80_000;
const STEP_MS = 500;

/** A longer record is shortened to so many characters. */
const LONGEST = 400;

/** Where the fault is in the timeline. */
const ID = '1.1';

/** What a kind of fault writes into the journal with its default settings: its beginning, the first of each type. */
export async function exampleRecords({ name }: Pick<FaultKind, 'name'>): Promise<string[]> {
  const lines = await play(name);
  const shown = new Map<string, string>();
  for (const line of lines) {
    const { type, id, phase, faults, atMs, event } = JSON.parse(line) as Record<string, unknown>;
    const isOwn = type === 'fault' ? id === ID && phase === 'begin' : Array.isArray(faults) && faults.includes(ID);
    const isOfLine = (type === 'line' || type === 'port') && (atMs as number) > 0;
    // What the port of this run cannot do.
    if (event === 'cannot') continue;
    if (type === 'epoch' || !(isOwn || isOfLine) || shown.has(String(type))) continue;
    shown.set(String(type), shorten(line));
  }
  return [...shown.values()];
}

async function play(name: string): Promise<string[]> {
  const timeline = `timeline: [{ at: 20 s, for: 50 s, fault: ${name} }]`;
  const scenario = await readScenario(scenarioOfFailure({ lines: [timeline] }), {
    file: 'example',
    baseFolder: '.',
    overrides: {},
  });
  const lines: string[] = [];
  let run: ModuleRun | null = null;
  let nowMs = 0;
  const port = await openMemoryPort({ portEvent: (event) => run?.notePort(event, nowMs) });
  const now = { year: 2026, month: 1, day: 1, hour: 0, minute: 0, second: 0 };
  run = new ModuleRun(scenario, { now, send: () => {}, journal: (line) => lines.push(line), port });
  while (nowMs < LASTS_MS) {
    nowMs += STEP_MS;
    run.advanceTo(nowMs);
  }
  run.abort();
  run.finish();
  return lines;
}

function shorten(line: string): string {
  if (line.length <= LONGEST) return line;
  const part = LONGEST / 2;
  return `${line.slice(0, part)}…${line.slice(line.length - part)}`;
}
