import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it, vi } from 'vitest';
import { counted, grouped } from '../../src/base/words.js';
import { DroppedCount } from '../../src/cli/dropped-count.js';
import { proveCommand } from '../../src/cli/prove-command.js';
import { LodestubError } from '../../src/index.js';
import { playRun, roof } from '../run/helper.js';
import { lodestub, temporaryFolder } from './process.js';

const folder = temporaryFolder();
const path = (name: string) => join(folder, name);

afterEach(() => {
  vi.restoreAllMocks();
});

/** What `prove` prints, and its exit code. */
async function proved(journal: string, stream: string, captured = false): Promise<{ code: number; text: string }> {
  let text = '';
  vi.spyOn(process.stdout, 'write').mockImplementation((chunk) => {
    text += String(chunk);
    return true;
  });
  const code = await proveCommand(journal, stream, { captured });
  return { code, text };
}

describe('lodestub prove', async () => {
  const { bytes, lines } = await playRun({ scenario: roof({ duration: '20 s' }) });
  const journal = path('run.jsonl');
  writeFileSync(journal, lines.map((line) => `${line}\n`).join(''));
  const stream = (name: string, content: Uint8Array) => {
    writeFileSync(path(name), content);
    return path(name);
  };
  const whole = stream('whole.nmea', bytes);

  it('says how much it has proven, with code 0', async () => {
    const sentences = lines.filter((line) => line.startsWith('{"type":"sentence"')).length;
    const { code, text } = await proved(journal, whole);
    expect({ code, text }).toEqual({
      code: 0,
      text: `proven: ${counted(bytes.length, 'byte')}, ${counted(sentences, 'sentence')}, 20 epochs\n`,
    });
  });

  it('says where the stream has another byte: place, record, bytes and text, with code 1', async () => {
    const at = bytes.indexOf('$GPGGA', 2000) + 10;
    const other = Buffer.from(bytes);
    other[at] = 0x07;
    const { code, text } = await proved(journal, stream('other.nmea', other));
    expect(code).toBe(1);
    const [first, where, expected, found] = text.split('\n');
    expect(first).toBe(
      `not proven: ${at} bytes agree, then comes a difference; 1 byte of the stream differs in all; ` +
        `the stream has ${counted(bytes.length, 'byte')}, the journal accounts for ${grouped(bytes.length)}`,
    );
    const [, line = ''] =
      /^ {2}stream byte \d+ \(from 0\): journal line (\d+), a sentence at [\d.]+ ms, from its byte 10$/.exec(
        where as string,
      ) ?? [];
    expect(lines[Number(line) - 1]).toContain('"text":"$GPGGA');
    expect(expected).toMatch(/^ {4}expected \[50 47 47 41 2c 31 32 30\] 3\d( [0-9a-f]{2})+ {3}PGGA,120\d/);
    expect(found).toMatch(/^ {4}found {4}\[50 47 47 41 2c 31 32 30\] 07( [0-9a-f]{2})+ {3}PGGA,120\./);
  });

  it('says that the stream ends early, or goes on', async () => {
    const early = await proved(journal, stream('early.nmea', bytes.subarray(0, -5)));
    expect(early.code).toBe(1);
    expect(early.text).toContain(' and then the end\n');
    expect(early.text).toContain(`not proven: ${counted(bytes.length - 5, 'byte')} agree, then the stream ends; `);
    const more = await proved(journal, stream('more.nmea', Buffer.concat([bytes, Buffer.from('more')])));
    expect(more.code).toBe(1);
    expect(more.text).toContain(`${counted(bytes.length, 'byte')} agree, then the journal ends; the stream has`);
    expect(more.text).toContain(`stream byte ${bytes.length} (from 0): the journal accounts for no more\n`);
    expect(more.text).toContain('found    6d 6f 72 65   more\n');
  });

  it('says what in the journal contradicts itself', async () => {
    const place = lines.findIndex((line) => line.startsWith('{"type":"epoch","index":7,'));
    const lacking = path('lacking.jsonl');
    writeFileSync(
      lacking,
      lines
        .filter((_, i) => i !== place)
        .map((line) => `${line}\n`)
        .join(''),
    );
    const { code, text } = await proved(lacking, whole);
    expect(code).toBe(1);
    expect(text).toMatch(/^not proven: the journal accounts for all \d+ bytes, but contradicts itself\n/);
    expect(text).toMatch(/^ {2}journal line \d+: epoch 8, expected epoch 7$/m);
  });

  it('--captured says how much there is, in how many pieces, and what was lost', async () => {
    const some = stream('some.nmea', Buffer.concat([bytes.subarray(700, 3000), bytes.subarray(4000, 6000)]));
    expect((await proved(journal, some)).code).toBe(1);
    const { code, text } = await proved(journal, some, true);
    expect(code).toBe(0);
    const [first, ...lost] = text.trimEnd().split('\n');
    expect(first).toBe(`captured: 4300 of ${counted(bytes.length, 'byte')}, in 2 pieces`);
    expect(lost).toHaveLength(3);
    expect(lost[0]).toMatch(/^ {2}lost: 700 bytes, from line 3, a sentence at [\d.]+ ms to line \d+$/);
    expect(lost[1]).toMatch(
      /^ {2}lost: 1000 bytes, from line \d+, a sentence at [\d.]+ ms(, from its byte \d+)? to line \d+$/,
    );
  });

  it('--captured proves nothing by a stream of nothing', async () => {
    const { code, text } = await proved(journal, stream('empty.nmea', new Uint8Array(0)), true);
    expect(code).toBe(1);
    expect(text).toBe(
      'not proven: the stream is empty, which proves nothing; ' +
        `the journal accounts for ${counted(bytes.length, 'byte')}\n`,
    );
  });

  it('hints at a host whose speed was not the line’s', async () => {
    const slow = path('slow.jsonl');
    const host = '{"type":"host","atMs":0,"event":"speed","baud":4800}';
    writeFileSync(slow, [lines[0], host, ...lines.slice(1)].map((line) => `${line}\n`).join(''));
    const { text } = await proved(slow, stream('slow.nmea', Buffer.from([0xf8, 0x1c])));
    expect(text).toContain('From journal line 2 on');
    expect((await proved(slow, whole)).code).toBe(0);
  });

  it('refuses what cannot be read', async () => {
    const refused = (a: string, b: string) =>
      proveCommand(a, b, {}).then(
        () => 'nothing',
        (error: Error) => {
          expect(error).toBeInstanceOf(LodestubError);
          return error.message;
        },
      );
    expect(await refused(path('none'), whole)).toBe(`journal.missing: ${path('none')}: there is no such file.`);
    expect(await refused(journal, path('none'))).toBe(`stream.missing: ${path('none')}: there is no such file.`);
    expect(await refused(journal, folder)).toMatch(/^stream\.missing: .*: it is not a file\.$/);
    expect(await refused(whole, whole)).toMatch(/^journal\.format: /);
  });

  it('has its exit codes as a process', async () => {
    const [good, bad, wrong] = await Promise.all([
      lodestub(['prove', journal, whole]),
      lodestub(['prove', journal, stream('short.nmea', bytes.subarray(0, 100))]),
      lodestub(['prove', whole, whole]),
    ]);
    expect(good).toMatchObject({ code: 0, stderr: '' });
    expect(bad).toMatchObject({ code: 1, stderr: '' });
    expect(wrong).toMatchObject({ code: 2, stdout: '' });
    expect(wrong.stderr).toMatch(/^journal\.format: /);
  });
});

describe('what write says of dropped sentences', () => {
  it('is nothing where none were', () => {
    expect(new DroppedCount().summary()).toBeNull();
  });

  it('is how many, how much, and why, the most frequent reason first', () => {
    const dropped = new DroppedCount();
    dropped.add({ reason: 'fault', bytes: 10 });
    expect(dropped.summary()).toBe('dropped: 1 sentence or part of one, 10 bytes: 1 was taken by faults');
    for (let i = 0; i < 3; i++) dropped.add({ reason: 'transmit-buffer', bytes: 70 });
    dropped.add({ reason: 'power', bytes: 5 });
    expect(dropped.summary()).toBe(
      'dropped: 5 sentences or parts of them, 225 bytes: 3 did not fit the transmit buffer, 1 was taken by faults, ' +
        '1 was lost with the power',
    );
  });

  it('comes at the end of write, and only then', async () => {
    const scenario = path('slow.yaml');
    writeFileSync(scenario, 'lodestub: 1\nmodule: { baud: 1200 }\nroute: [{ hold: 20 s, at: [47.1, 8.2] }]\n');
    const [slow, plain] = await Promise.all([
      lodestub(['write', scenario, '--out', path('slow-line.nmea'), '--journal', path('slow-line.jsonl')]),
      lodestub(['write', 'bench', '--for', '10 s', '--out', path('plain.nmea')]),
    ]);
    expect(slow.code).toBe(0);
    const end = JSON.parse(readFileSync(path('slow-line.jsonl'), 'utf8').trimEnd().split('\n').at(-1) as string);
    expect(slow.stderr).toContain(`dropped: ${end.dropped} sentences or parts of them, `);
    expect(slow.stderr).toContain(`${end.dropped} did not fit the transmit buffer\n`);
    expect(plain).toMatchObject({ code: 0 });
    expect(plain.stderr).not.toContain('dropped');
  });
});
