import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { z } from 'zod';
import { readYaml } from '../../../src/scenario/document.js';
import { explain } from '../../../src/scenario/explain.js';
import { strict } from '../../../src/scenario/fields.js';
import { HOST_SCHEMA } from '../../../src/trial/host/host-schema.js';
import { fillPlaceholders, PLACEHOLDERS, placeholdersIn } from '../../../src/trial/host/placeholders.js';
import { splitWords } from '../../../src/trial/host/split-words.js';

const hostOf = (yaml: string) => HOST_SCHEMA.parse(parse(yaml));

function mistakeIn(yaml: string): string {
  const document = readYaml(`host:\n${yaml.replace(/^/gm, '  ')}\n`, 'trial.yaml', 'trial');
  const result = strict({ host: HOST_SCHEMA }).safeParse(document.value);
  return result.success ? '' : explain(document, result.error.issues, () => null).message;
}

describe('a host', () => {
  it('is a command with a folder, an environment and its manners', () => {
    expect(
      hostOf(`
command: [python3, reader.py, '{port}', 9600]
folder: hosts
environment: { TZ: UTC, N: 1, LANG: null }
ready: '^listening'
ready-within: 20 s
restart: true
restart-after: 500 ms
stop: SIGINT
stop-within: 1 s`),
    ).toEqual({
      command: ['python3', 'reader.py', '{port}', '9600'],
      folder: 'hosts',
      environment: { TZ: 'UTC', N: '1', LANG: null },
      ready: /^listening/,
      readyWithinS: 20,
      restart: true,
      restartAfterS: 0.5,
      stop: 'SIGINT',
      stopWithinS: 1,
    });
  });

  it('is asked to end by SIGTERM, and given 3 s, where nothing else is said', () => {
    expect(hostOf("command: ./a '{port}'")).toMatchObject({
      command: ['./a', '{port}'],
      folder: '.',
      ready: null,
      restart: false,
      stop: 'SIGTERM',
      stopWithinS: 3,
    });
  });

  it('may run already', () => {
    expect(hostOf('already-running')).toBe('already-running');
  });

  it.each([
    ['folder: a', 'the key command is missing'],
    ['command: []', 'expected the command as a list such as'],
    ['command: 7', 'expected the command as a list such as'],
    ['command: [a, [b]]', 'expected text or a number'],
    ["command: [a, '{prot}']", 'Did you mean port?'],
    ['command: a {baudd}', 'Did you mean baud?'],
    ['command: cat {port} | grep RMC', 'without a bare |'],
    ['command: a "b', 'every quote is closed'],
    ['command: TZ=UTC date', 'Set TZ under environment.'],
    ["command: a\nready: '('", 'as a regular expression'],
    ["command: a\nenvironment: { A: '{b}' }", 'A brace before a word is written {{.'],
    ['command: a\nenvironment: { A: [1] }', 'expected text or a number or true or false or null'],
    ['command: a\nstop: SIGSTOP', 'Known: '],
    ['command: a\nstop-within: 3', 'Write the unit behind the number: 3 s.'],
    ['command: a\nrestarts: true', 'Did you mean restart?'],
  ])('%j is explained', (yaml, message) => {
    expect(mistakeIn(yaml)).toContain(message);
    expect(mistakeIn(yaml)).toMatch(/^trial\.[a-z-]+: trial\.yaml, line \d, column \d+, host/);
  });

  it('that is only a word says where a command stands', () => {
    const document = readYaml('host: ./reader\n', 'trial.yaml', 'trial');
    const result = strict({ host: HOST_SCHEMA }).safeParse(document.value);
    const message = result.success ? '' : explain(document, result.error.issues, () => null).message;
    expect(message).toContain('A command stands under its key: host: { command: … }.');
  });

  it('has a JSON Schema', () => {
    expect(JSON.stringify(z.toJSONSchema(HOST_SCHEMA, { io: 'input' }))).toContain('The signal that asks it to end');
  });
});

// What the POSIX shell makes of these words (The Open Group, POSIX.1-2017, Shell Command Language, 2.2).
describe('a line of words', () => {
  it.each([
    ['a b  c', ['a', 'b', 'c']],
    [`a 'b c' "d e"`, ['a', 'b c', 'd e']],
    [
      String.raw`a\ b "c\"d" 'e\f' "g\h" "i\\j" k\\l`,
      ['a b', 'c"d', String.raw`e\f`, String.raw`g\h`, String.raw`i\j`, String.raw`k\l`],
    ],
    [`a''b "" ''`, ['ab', '', '']],
    [`--x='a b'c`, ['--x=a bc']],
    [`a '$HOME' "\\$x" a#b a~b`, ['a', '$HOME', '$x', 'a#b', 'a~b']],
    ["a\t'b\nc'\nd", ['a', 'b\nc', 'd']],
  ])('%j is split as a shell splits it (POSIX.1-2017)', (line, words) => {
    expect(splitWords(line)).toEqual({ words });
  });

  it.each([
    'a | b',
    'a > b',
    'a & b',
    'a; b',
    'a $b',
    'a "$b"',
    'a `b`',
    'a *',
    'a ?',
    '~/a',
    'a # b',
    'a (b)',
    "a 'b",
    'a\\',
    '',
    ' ',
  ])('%j is refused', (line) => {
    expect(splitWords(line)).toHaveProperty('problem');
  });
});

describe('placeholders', () => {
  it('are filled in, and two braces are one', () => {
    expect(
      fillPlaceholders('{port}:{baud} {"a":1} {print $1} {} {{port}', { port: '/dev/pts/3', baud: '9600' }, 'x'),
    ).toBe('/dev/pts/3:9600 {"a":1} {print $1} {} {port}');
    expect(placeholdersIn('{port} {{link} {tcp}')).toEqual(['port', 'tcp']);
  });

  it('without a value in the case say so', () => {
    expect(() => fillPlaceholders('{tcp}', { port: 'a', link: 'b' }, 'host.command')).toThrow(
      'trial.placeholder: host.command: {tcp} has no value in this case.',
    );
  });

  it('are each described', () => {
    for (const each of Object.values(PLACEHOLDERS)) expect(each).toMatch(/^[A-Z]/);
  });
});
