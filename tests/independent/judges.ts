import { spawnSync } from 'node:child_process';
import { Parser as SignalK } from '@signalk/nmea0183-signalk';
import { Decoder } from 'extended-nmea';
import { GPS } from 'gps';
import { parseNmeaSentence } from 'nmea-simple';
import { sumOf } from '../faults/sentence-helper.js';

/** What a parser did with a line: took it, refused it, or said nothing of it. */
export type Verdict = 'takes' | 'refuses' | 'silent';

/**
 * What is wrong with a line before its fields are looked at. `space-before`: only white space stands before `$`;
 * `joined`: a `$` or `*` stands where the standard has none, as where two sentences are one line.
 */
export type Flaw = 'start' | 'space-before' | 'end' | 'joined' | 'no-checksum' | 'wrong-checksum';

/** An independent parser, as a judge of lines. */
export interface Judge {
  readonly name: string;
  /** What it claims to refuse, and where it says so. */
  readonly claims: Readonly<Partial<Record<Flaw, string>>>;
  /** What it claims to refuse of sentences that are whole: a description, and where it says so. */
  readonly fieldClaims: ReadonlyArray<{
    readonly where: string;
    readonly isBroken: (fields: readonly string[]) => boolean;
  }>;
  /** False: it is not installed here. */
  readonly isThere: boolean;
  /** Lines with their ends, in order: what it does with each. A fresh parser each time. */
  readonly judge: (lines: readonly string[]) => Verdict[];
}

/** Satellites of four fields each, and a signal id or none: the fields of GSV after its first four. */
const isGsvUneven = (fields: readonly string[]) => isKind(fields, 'GSV') && (fields.length - 4) % 4 > 1;
const isKind = ([first = '']: readonly string[], kind: string) => first.slice(2) === kind;

const withoutEnd = (line: string) => line.replace(/\r?\n$/, '');

function each(lines: readonly string[], take: (line: string) => Verdict): Verdict[] {
  return lines.map((line) => {
    try {
      return take(line);
    } catch {
      return 'refuses';
    }
  });
}

const isOddStatus = (status = '') => !['', 'A', 'V'].includes(status);

const GPS_JS: Judge = {
  name: 'gps',
  claims: {
    start:
      'README, Parsing Sentences: "returns false for unsupported or structurally rejected input"; its source: line[0] is $',
    'space-before': 'its source, Parse: false where line[0] is not $',
    'no-checksum': 'its source, Parse: false without * and two hexadecimal digits',
    'wrong-checksum':
      'README, Parsing Sentences: "A recognized sentence with a bad checksum is returned with valid: false"',
  },
  fieldClaims: [
    {
      where: 'its source, parseRMC_GLLStatus: A, V or blank, or "INVALID RMC/GLL STATUS"',
      isBroken: (fields) => isOddStatus(isKind(fields, 'RMC') ? fields[2] : isKind(fields, 'GLL') ? fields[6] : ''),
    },
    {
      where: 'its source, parseGGAFix: 0 to 8 or blank, or "INVALID GGA FIX"',
      isBroken: (fields) => isKind(fields, 'GGA') && fields[6] === '9',
    },
    { where: 'its source, GSV: "Invalid GSV length"', isBroken: isGsvUneven },
  ],
  isThere: true,
  judge: (lines) =>
    each(lines, (line) => {
      const said = GPS.Parse(withoutEnd(line));
      return said !== false && said.valid ? 'takes' : 'refuses';
    }),
};

const NMEA_SIMPLE: Judge = {
  name: 'nmea-simple',
  claims: {
    'no-checksum': 'its source, helpers.ts: "checksum is a 2 digit hex value"',
    'wrong-checksum': 'README, Unsafe packets: only parseUnsafeNmeaSentence takes those that have a bad checksum',
  },
  fieldClaims: [],
  isThere: true,
  judge: (lines) =>
    each(lines, (line) => {
      parseNmeaSentence(withoutEnd(line));
      return 'takes';
    }),
};

const SIGNAL_K: Judge = {
  name: '@signalk/nmea0183-signalk',
  claims: {
    start: 'README of its utilities, valid: "Requires a $ or ! prefix"',
    'no-checksum': 'README of its utilities, valid: "a matching *XX checksum suffix"',
    'wrong-checksum': 'README of its utilities, valid: "a matching *XX checksum suffix"',
  },
  fieldClaims: [],
  isThere: true,
  judge: (lines) => {
    const parser = new SignalK();
    return each(lines, (line) => (parser.parse(withoutEnd(line)) === null ? 'silent' : 'takes'));
  },
};

const EXTENDED: Judge = {
  name: 'extended-nmea',
  claims: {
    start: 'its source, NmeaSentence.valid: "Each sentence starts with a $ sign"',
    'space-before': 'its source, NmeaSentence.valid: "Each sentence starts with a $ sign"',
    end: 'its source, NmeaSentence.valid: "and ends with <CR><LF>"',
    'wrong-checksum':
      'its source, ChecksumSentence.checksumValid: "If this sentence has a checksum, … Otherwise … true"',
  },
  fieldClaims: [
    {
      where: 'its source, GSV: "Invalid number of data fields: must contain a multiple of 4 data fields"',
      isBroken: isGsvUneven,
    },
  ],
  isThere: true,
  judge: (lines) => each(lines, (line) => (Decoder.decode(line).valid ? 'takes' : 'refuses')),
};

/** Reads a JSON list of lines from standard input, and says of each whether it parses. */
const PYTHON_JUDGE = `
import sys, json, pynmea2
def judge(line):
    try:
        pynmea2.parse(line, check=sys.argv[1] == 'strict')
        return 'takes'
    except pynmea2.ParseError:
        return 'refuses'
print(json.dumps([judge(line) for line in json.load(sys.stdin)]))
`;
const PYTHON = ['/usr/bin/python3', 'python3'].find((path) => spawnSync(path, ['-c', 'import pynmea2']).status === 0);

function python(mode: 'default' | 'strict'): Judge {
  return {
    name: `python3-nmea2 (${mode})`,
    claims: {
      ...(mode === 'strict' ? { 'no-checksum': 'its message: "strict checking requested but checksum missing"' } : {}),
      'wrong-checksum': 'its docstring of parse: "Raises ValueError if … the checksum did not match"',
    },
    fieldClaims: [],
    isThere: PYTHON !== undefined,
    judge: (lines) => {
      const options = { input: JSON.stringify(lines), encoding: 'utf8', maxBuffer: 1e8 } as const;
      const { stdout, stderr } = spawnSync(PYTHON as string, ['-c', PYTHON_JUDGE, mode], options);
      if (stderr !== '') throw new Error(stderr);
      return JSON.parse(stdout) as Verdict[];
    },
  };
}

export const JUDGES: readonly Judge[] = [GPS_JS, NMEA_SIMPLE, SIGNAL_K, EXTENDED, python('default'), python('strict')];

/** What is wrong with a line, by the standard: `$`, a body without `$` and `*`, `*` and its two digits, CR LF. */
export function flawsOf(line: string): Flaw[] {
  const flaws: Flaw[] = [];
  if (!line.startsWith('$')) flaws.push(line.trimStart().startsWith('$') ? 'space-before' : 'start');
  if (!/[^\r\n]\r\n$/.test(line)) flaws.push('end');
  const dollar = line.indexOf('$');
  const text = line.slice(dollar + 1).trimEnd();
  if (text.includes('$') || text.indexOf('*') !== text.lastIndexOf('*')) flaws.push('joined');
  const star = text.search(/\*[0-9A-Fa-f]{2}$/);
  if (star < 0) flaws.push('no-checksum');
  else if (dollar >= 0 && sumOf(text.slice(0, star)) !== text.slice(star + 1).toUpperCase())
    flaws.push('wrong-checksum');
  return flaws;
}

/** Whether a parser claims to refuse a line. */
export function mustRefuse({ claims, fieldClaims }: Judge, line: string): boolean {
  const flaws = flawsOf(line);
  if (flaws.some((flaw) => claims[flaw] !== undefined)) return true;
  return (
    flaws.length === 0 && fieldClaims.some(({ isBroken }) => isBroken(line.slice(1, line.indexOf('*')).split(',')))
  );
}
