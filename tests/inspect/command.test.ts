import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { REPORT_CAUTION } from '../../src/cli/caution.js';
import { inspectCommand } from '../../src/cli/inspect-command.js';
import { FIELD_FAILURES, scenarioOfFailure } from '../../src/faults/catalogue.js';
import type { FieldFailure } from '../../src/faults/failures/failure.js';
import type { InspectReport } from '../../src/inspect/inspect-report.js';
import { playSeen } from '../faults/shown/seen.js';

const FOLDER = mkdtempSync(join(tmpdir(), 'lodestub-inspect-command-'));
const GOOD = join(FOLDER, 'good.nmea');
const SPOILT = join(FOLDER, 'spoilt.nmea');

beforeAll(async () => {
  writeFileSync(GOOD, (await playSeen(scenarioOfFailure(null))).text, 'latin1');
  const failure = FIELD_FAILURES.find(({ id }) => id === 'bad-checksum') as FieldFailure;
  writeFileSync(SPOILT, (await playSeen(scenarioOfFailure(failure))).text, 'latin1');
});
afterAll(() => rmSync(FOLDER, { recursive: true }));
afterEach(() => vi.restoreAllMocks());

/** Runs the command, and keeps what it prints. */
async function run(...[source, options]: Parameters<typeof inspectCommand>): Promise<{ code: number; text: string }> {
  let text = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((part) => {
    text += String(part);
    return true;
  });
  const code = await inspectCommand(source, options);
  vi.restoreAllMocks();
  return { code, text };
}

describe('lodestub inspect', () => {
  it('ends with 0 where nothing is bad, and with 1 where something is', async () => {
    const good = await run(GOOD, {});
    expect(good.code).toBe(0);
    expect(good.text).toContain(REPORT_CAUTION.split('\n')[0]?.slice(0, 40));
    const spoilt = await run(SPOILT, {});
    expect(spoilt.code).toBe(1);
    expect(spoilt.text).toMatch(/^bad +Checksums +\d+ of \d+ wrong/m);
  });

  it('writes the report as JSON and as a page, and replaces only its own', async () => {
    const json = join(FOLDER, 'report.json');
    const html = join(FOLDER, 'report.html');
    await run(GOOD, { json, html, reference: '47.1, 8.2, 430 m', baud: 9600 });
    const report = JSON.parse(readFileSync(json, 'utf8')) as InspectReport;
    expect(report).toMatchObject({ lodestubInspect: 1, stream: { name: GOOD, kind: 'file', baud: 9600 } });
    expect(readFileSync(html, 'utf8')).toMatch(/^<!doctype html>/i);
    await run(SPOILT, { json, html });
    expect((JSON.parse(readFileSync(json, 'utf8')) as InspectReport).stream.name).toBe(SPOILT);
    const other = join(FOLDER, 'other.json');
    writeFileSync(other, '{"mine": true}\n');
    await expect(run(GOOD, { json: other })).rejects.toMatchObject({ code: 'out.exists' });
    expect(readFileSync(other, 'utf8')).toBe('{"mine": true}\n');
    await run(GOOD, { json: other, force: true });
    expect(readFileSync(other, 'utf8')).toContain('lodestubInspect');
  });

  it('refuses a reference that is none, and names the option', async () => {
    const failure = run(GOOD, { reference: 'here' });
    await expect(failure).rejects.toMatchObject({ code: 'place.format', path: '--reference' });
  });

  it('refuses a log that is not there', async () => {
    await expect(run(join(FOLDER, 'none.nmea'), {})).rejects.toMatchObject({ code: 'inspect.missing' });
  });
});
