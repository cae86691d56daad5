/*
 * What `bench.js` measures on `lodestub` as a process.
 */
import { execFileSync, spawn, spawnSync } from 'node:child_process';
import { closeSync, constants, openSync, readFileSync, readSync } from 'node:fs';
import { join } from 'node:path';

const BIN = new URL('../../bin/lodestub.js', import.meta.url).pathname;
const SECONDS_PER_DAY = 86_400;

function start(...args) {
  const child = spawn(process.execPath, [BIN, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
  child.stderr.resume();
  return child;
}

const ended = (child) =>
  new Promise((resolve, reject) => {
    child.on('close', (code) => (code === 0 ? resolve() : reject(new Error(`lodestub ended with ${code}`))));
  });

/** The child's first lines, as soon as the pattern is there. */
function seen(child, pattern) {
  return new Promise((resolve) => {
    let text = '';
    child.stdout.on('data', (part) => {
      text += part;
      const match = pattern.exec(text);
      if (match !== null) resolve(match);
    });
  });
}

/** Epochs a second of `lodestub write`, over a day. */
export async function processSpeed(scenario, folder) {
  const startMs = performance.now();
  await ended(start('write', scenario, '--for', '1 d', '--out', join(folder, 'process.nmea')));
  return (SECONDS_PER_DAY * 1000) / (performance.now() - startMs);
}

/** From the command to the first byte, s, so many times. */
export async function firstByteS(scenario, port, times) {
  const values = [];
  for (let time = 0; time < times; time++) {
    const startMs = performance.now();
    const child = start('run', scenario, '--port', port);
    const end = ended(child);
    if (port === 'stdout') await new Promise((resolve) => child.stdout.once('data', resolve));
    else await firstByteOf((await seen(child, /^port: (.+)\n/))[1]);
    values.push((performance.now() - startMs) / 1000);
    child.kill('SIGTERM');
    await end;
  }
  return values;
}

/** Reads from a pty until something comes. */
async function firstByteOf(path) {
  const fd = openSync(path, constants.O_RDWR | constants.O_NOCTTY | constants.O_NONBLOCK);
  const into = Buffer.alloc(64);
  for (let count = 0; count === 0; ) {
    await new Promise((resolve) => setTimeout(resolve, 1));
    try {
      count = readSync(fd, into);
    } catch (error) {
      if (error.code !== 'EAGAIN') throw error;
    }
  }
  closeSync(fd);
}

/** Lateness of every byte that a host reads from a pty at 9600 baud, ms, in ascending order. */
export async function lateness(scenario, folder, seconds) {
  const journal = join(folder, 'lateness.jsonl');
  const run = start('run', scenario, '--for', `${seconds} s`, '--journal', journal);
  const end = ended(run);
  const [, port, started] = await seen(run, /^port: (.+)\nstarted: (.+)\n/);
  const host = spawn(...hostCommand(folder, port), { stdio: ['ignore', 'pipe', 'inherit'] });
  let printed = '';
  host.stdout.on('data', (text) => {
    printed += text;
  });
  const gone = new Promise((resolve) => host.on('close', resolve));
  await end;
  await gone;
  return compare(dueTimes(journal), printed, Date.parse(started));
}

/** A host that prints its reads: in C where it can be built, since it stamps microseconds. */
function hostCommand(folder, port) {
  if (spawnSync('gcc', ['--version']).status !== 0) {
    return [process.execPath, [new URL('../hosts/read-port.js', import.meta.url).pathname, port, '9600']];
  }
  const program = join(folder, 'stamp-port');
  execFileSync('gcc', ['-O1', '-o', program, new URL('../end-to-end/stamp-port.c', import.meta.url).pathname]);
  return [program, [port, '9600']];
}

/** When each byte's stop bit ended, ms after tick 0. */
function dueTimes(journal) {
  const due = [];
  for (const line of readFileSync(journal, 'utf8').trimEnd().split('\n')) {
    const { type, text, startMs } = JSON.parse(line);
    if (type !== 'sentence') continue;
    for (let i = 1; i <= text.length + 2; i++) due.push(startMs + (i * 10_000) / 9600);
  }
  return due;
}

function compare(due, printed, startedMs) {
  const reads = printed
    .split('\n')
    .slice(1, -1)
    .map((line) => line.split(' '));
  const count = reads.reduce((sum, [, hex]) => sum + hex.length / 2, 0);
  let at = due.length - count;
  const late = [];
  for (const [stampMs, hex] of reads) {
    for (let i = 0; i < hex.length / 2; i++) late.push(Number(stampMs) - startedMs - due[at++]);
  }
  return late.sort((a, b) => a - b);
}

/** Resident memory of `lodestub write` when it has written so many days, MB: the last of many looks. */
export async function memoryMb(scenario, folder, days) {
  const child = start('write', scenario, '--for', `${days} d`, '--out', join(folder, 'memory.nmea'));
  let lastMb = 0;
  const timer = setInterval(() => {
    try {
      const kilobytes = /VmRSS:\s+(\d+) kB/.exec(readFileSync(`/proc/${child.pid}/status`, 'utf8'));
      if (kilobytes !== null) lastMb = Number(kilobytes[1]) / 1024;
    } catch {
      // It has just ended, or this machine has no /proc.
    }
  }, 20);
  await ended(child);
  clearInterval(timer);
  return lastMb;
}
