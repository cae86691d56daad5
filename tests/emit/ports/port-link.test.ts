import {
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readFileSync,
  readlinkSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { makeLink, removeLinkSync } from '../../../src/emit/ports/port-link.js';

const folder = mkdtempSync(join(tmpdir(), 'link-'));
afterAll(() => rmSync(folder, { recursive: true }));
const at = (name: string) => join(folder, name);

it('replaces a link that points nowhere', () => {
  symlinkSync(at('gone'), at('stale'));
  makeLink(at('stale'), '/dev/null');
  expect(readlinkSync(at('stale'))).toBe('/dev/null');
});

it('replaces a link that a killed run left and that points to the new port by chance', () => {
  symlinkSync('/dev/null', at('by-chance'));
  makeLink(at('by-chance'), '/dev/null');
  expect(readlinkSync(at('by-chance'))).toBe('/dev/null');
});

it('touches neither a file, a folder nor a link to something that exists', () => {
  writeFileSync(at('file'), 'mine');
  mkdirSync(at('folder'));
  symlinkSync(at('file'), at('live'));
  for (const name of ['file', 'folder', 'live']) {
    expect(() => makeLink(at(name), '/dev/null')).toThrow(/^link\.taken: .*expected nothing/);
  }
  expect(readFileSync(at('live'), 'utf8')).toBe('mine');
  expect(lstatSync(at('folder')).isDirectory()).toBe(true);
});

it('says where no link can be made', () => {
  expect(() => makeLink(at('no/such/link'), '/dev/null')).toThrow(/^link\.failed: .*ENOENT/);
});

it('removes its own link only, and never throws', () => {
  makeLink(at('ours'), '/dev/null');
  removeLinkSync(at('ours'), '/dev/zero');
  expect(readlinkSync(at('ours'))).toBe('/dev/null');
  removeLinkSync(at('ours'), '/dev/null');
  expect(lstatSync(at('ours'), { throwIfNoEntry: false })).toBeUndefined();
  removeLinkSync(at('ours'), '/dev/null');
});
