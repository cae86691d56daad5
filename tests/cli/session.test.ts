import {
  existsSync,
  linkSync,
  lstatSync,
  mkdtempSync,
  readFileSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { checkJournal } from '../../src/cli/session.js';

const folder = mkdtempSync(join(tmpdir(), 'session-'));
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => join(folder, name);
const CONFLICT = /^command\.conflict: --journal: expected another file than the stream’s/;

describe('the journal', () => {
  it('is not the stream under another name, be it there already or not', () => {
    symlinkSync('stream', at('link'));
    for (const name of ['stream', 'link', './link']) {
      expect(() => checkJournal(at(name), false, at('stream'))).toThrow(CONFLICT);
    }
    expect([existsSync(at('stream')), lstatSync(at('link')).isSymbolicLink()]).toEqual([false, true]);
    writeFileSync(at('stream'), '$GPTXT,01,01,02,SIMULATED*00\r\n');
    linkSync(at('stream'), at('hard'));
    for (const name of ['stream', 'link', 'hard']) {
      expect(() => checkJournal(at(name), true, at('stream'))).toThrow(CONFLICT);
    }
    expect(readFileSync(at('stream'), 'latin1').length).toBe(30);
  });

  it('may be any other file, and a device that the stream goes to too', () => {
    checkJournal(at('journal'), false, at('stream'));
    checkJournal('/dev/null', false, '/dev/null');
    checkJournal(undefined, false, at('stream'));
    expect(existsSync(at('journal'))).toBe(false);
  });
});
