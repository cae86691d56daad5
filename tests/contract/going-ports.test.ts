import { describe, expect, it } from 'vitest';
import { openPort, parsePortSpec } from '../../src/emit/ports/open-port.js';
import type { HostEvent, PortEvent } from '../../src/emit/ports/port.js';
import { openHost } from './hosts.js';
import { kinds, openRig, sleep, until } from './rigs.js';

/** What a host that is told nothing has to wait to be sure of it, ms: ten times what all else here takes. */
const NOTHING_COMES_MS = 100;

/** Ports that hosts open and close. */
const SPECS = { pty: 'pty', tcp: 'tcp:0', mock: 'mock:/dev/GOING' };
type Kind = keyof typeof SPECS;
const KINDS = Object.keys(SPECS) as Kind[];

async function openWatched(kind: Kind) {
  const told: (HostEvent | PortEvent)[] = [];
  const errors: Error[] = [];
  let heard = '';
  const port = await openPort(
    parsePortSpec(SPECS[kind]),
    { baud: 9600 },
    {
      hostBytes: (bytes) => {
        heard += Buffer.from(bytes).toString('latin1');
      },
      hostEvent: (event) => told.push(event),
      portEvent: (event) => told.push(event),
      failed: (error) => errors.push(error),
    },
  );
  const count = (name: string) => told.filter(({ event }) => event === name).length;
  /** What was told but speeds, which not every port has. */
  const words = () => told.map(({ event }) => event).filter((event) => event !== 'speed');
  const write = (text: string) => port.write(Buffer.from(text, 'latin1'));
  const join = async () => {
    const before = count('open');
    const host = openHost(kind, port.name);
    await until(() => count('open') > before, 'the host to be seen');
    return host;
  };
  const back = async (as: 'same' | 'other') => {
    const before = count('back');
    port.comeBack!(as);
    await until(() => count('back') > before, 'the port to be back');
  };
  return { port, told, errors, heard: () => heard, count, words, write, join, back };
}

describe.each(KINDS)('port %s that goes and comes back', (kind) => {
  it('hangs up on its host, loses bytes while it is away, and is there again for all', async () => {
    const { port, told, errors, heard, words, write, join, back } = await openWatched(kind);
    const host = await join();
    expect(write('before\r\n')).toBe(0);
    await until(() => host.received() === 'before\r\n', 'what came before');
    port.vanish!(true);
    await until(host.isHungUp, 'the hang-up');
    expect(write('meanwhile\r\n')).toBe(11);
    await host.leave();
    await back('same');
    expect(told.find(({ event }) => event === 'back')).toMatchObject({ name: port.name });
    const next = await join();
    expect(write('after\r\n')).toBe(0);
    await until(() => next.received() === 'after\r\n', 'what came after');
    next.send('hello\r\n');
    await until(() => heard() === 'hello\r\n', 'what the host said');
    await next.leave();
    await until(() => words().at(-1) === 'close', 'its going');
    expect(words()).toEqual(['open', 'close', 'gone', 'back', 'open', 'close']);
    await port.close();
    expect(errors).toEqual([]);
  });

  it('has the name that it had, if its host has let go of it', async () => {
    const { port, write, join, back } = await openWatched(kind);
    let kept = 0;
    for (let i = 0; i < 5; i++) {
      const { name } = port;
      const host = await join();
      port.vanish!(true);
      await until(host.isHungUp, 'the hang-up');
      await host.leave();
      await back('same');
      if (port.name === name) kept++;
    }
    // Another program, such as another test, may take a pty's number in between.
    if (kind === 'pty') expect(kept).toBeGreaterThan(0);
    else expect(kept).toBe(5);
    expect(write('x')).toBe(1);
    await port.close();
  });

  it('has another name for certain, where it is to have one, and nothing is left at the old one', async () => {
    const { port, told, words, write, join, back } = await openWatched(kind);
    const names = [port.name];
    for (let i = 0; i < 4; i++) {
      port.vanish!(i % 2 === 0);
      await back('other');
      expect(port.name).not.toBe(names.at(-1));
      const late = openHost(kind, names.at(-1)!);
      // The old pty's number may be another program's by now.
      if (kind === 'pty') await sleep(NOTHING_COMES_MS);
      else await until(() => late.refusal() !== null, 'the refusal');
      expect(words()).not.toContain('open');
      await late.leave();
      names.push(port.name);
    }
    expect(told.flatMap((event) => (event.event === 'back' ? [event.name] : []))).toEqual(names.slice(1));
    const host = await join();
    expect(write('here\r\n')).toBe(0);
    await until(() => host.received() === 'here\r\n', 'the line');
    await host.leave();
    await port.close();
  });

  it('without a hang-up leaves its host waiting, deaf and unheard, for ever', async () => {
    const { port, heard, words, write, join, back } = await openWatched(kind);
    const host = await join();
    port.vanish!(false);
    expect(words()).toEqual(['open', 'close', 'gone']);
    host.send('anybody?\r\n');
    expect(write('meanwhile\r\n')).toBe(11);
    const late = openHost(kind, port.name);
    await until(() => late.refusal() !== null, 'the refusal');
    await back('same');
    const next = await join();
    expect(write('after\r\n')).toBe(0);
    await until(() => next.received() === 'after\r\n', 'what came after');
    await sleep(NOTHING_COMES_MS);
    expect([host.isHungUp(), host.received(), heard()]).toEqual([false, '', '']);
    await host.leave();
    await next.leave();
    await port.close();
  });

  it('hangs up on hosts that wait, if it is told to while it is away', async () => {
    const { port, words, join } = await openWatched(kind);
    const host = await join();
    port.vanish!(false);
    await sleep(NOTHING_COMES_MS);
    expect(host.isHungUp()).toBe(false);
    port.vanish!(true);
    await until(host.isHungUp, 'the hang-up');
    expect(words()).toEqual(['open', 'close', 'gone']);
    await host.leave();
    await port.close();
  });

  it('takes all in any order: to go twice, to come back unasked, to close while away', async () => {
    const { port, errors, words, back } = await openWatched(kind);
    port.comeBack!('other');
    port.vanish!(true);
    port.vanish!(false);
    port.vanish!(true);
    await back('same');
    port.comeBack!('same');
    port.vanish!(true);
    port.comeBack!('other');
    port.vanish!(true);
    await sleep(NOTHING_COMES_MS);
    expect(words().filter((word) => word === 'gone').length).toBeGreaterThanOrEqual(2);
    expect(words().at(-1)).toBe('gone');
    await port.close();
    await port.close();
    port.comeBack!('same');
    port.vanish!(true);
    port.refuse!(true);
    port.keep!(100);
    await sleep(NOTHING_COMES_MS);
    expect(words().at(-1)).toBe('gone');
    expect(errors).toEqual([]);
  });

  it('refuses whoever opens it, leaves its host alone, and lets all in again', async () => {
    const { port, heard, words, write, join } = await openWatched(kind);
    const host = await join();
    port.refuse!(true);
    port.refuse!(true);
    for (let i = 0; i < 3; i++) {
      const late = openHost(kind, port.name);
      await until(() => late.refusal() !== null, 'the refusal');
      await sleep(20);
      expect(host.isHungUp()).toBe(false);
      expect(write(`still ${i}\r\n`)).toBe(0);
      await until(() => host.received().endsWith(`still ${i}\r\n`), 'the line');
    }
    host.send('still here\r\n');
    await until(() => heard() === 'still here\r\n', 'what the host said');
    await host.leave();
    await until(() => words().at(-1) === 'close', 'its going');
    const late = openHost(kind, port.name);
    await until(() => late.refusal() !== null, 'the refusal');
    expect(write('nobody')).toBe(6);
    port.refuse!(false);
    const next = await join();
    expect(write('in\r\n')).toBe(0);
    await until(() => next.received() === 'in\r\n', 'the line');
    await next.leave();
    await port.close();
    expect(words().slice(0, 5)).toEqual(['open', 'refusing', 'close', 'accepting', 'open']);
  });

  it('still refuses when it has come back', async () => {
    const { port, join, back } = await openWatched(kind);
    port.refuse!(true);
    port.vanish!(true);
    await back('same');
    const late = openHost(kind, port.name);
    await until(() => late.refusal() !== null, 'the refusal');
    port.refuse!(false);
    await (await join()).leave();
    await port.close();
  });

  it('keeps the newest bytes for the next host, which gets them first, and once', async () => {
    const { port, words, write, join } = await openWatched(kind);
    port.keep!(10);
    expect(write('0123')).toBe(0);
    expect(write('456789ab')).toBe(2);
    expect(write('c')).toBe(1);
    const host = await join();
    expect(write('new')).toBe(0);
    await until(() => host.received() === '3456789abcnew', 'what was kept');
    await host.leave();
    await until(() => words().at(-1) === 'close', 'its going');
    expect(write('x'.repeat(25))).toBe(15);
    port.keep!(4);
    const next = await join();
    write('!');
    await until(() => next.received().endsWith('!'), 'the line');
    expect(next.received()).toBe('xxxx!');
    await next.leave();
    await until(() => words().filter((word) => word === 'close').length === 2, 'its going');
    port.keep!(0);
    expect(write('gone')).toBe(4);
    await port.close();
  });

  it('loses what it keeps when it goes', async () => {
    const { port, write, join, back } = await openWatched(kind);
    port.keep!(100);
    expect(write('old')).toBe(0);
    port.vanish!(true);
    expect(write('lost')).toBe(4);
    await back('same');
    expect(write('kept')).toBe(0);
    const host = await join();
    write('!');
    await until(() => host.received().endsWith('!'), 'the line');
    expect(host.received()).toBe('kept!');
    await host.leave();
    await port.close();
  });
});

describe.each(['memory', 'udp', 'serial'])('port %s that goes and comes back', (kind) => {
  it('loses what is written meanwhile, and goes on under its name', async () => {
    const rig = await openRig(kind);
    const { port } = rig;
    const { name } = port;
    const meant = (text: string) => rig.received().toString('latin1').replaceAll(/^\n/g, '') === text;
    expect(port.write(Buffer.from('before\n'))).toBe(0);
    await until(() => meant('before\n'), 'what came before');
    port.vanish!(true);
    port.vanish!(false);
    expect(port.write(Buffer.from('meanwhile\n'))).toBe(10);
    await sleep(NOTHING_COMES_MS);
    port.comeBack!('other');
    port.comeBack!('same');
    expect(port.write(Buffer.from('after\n'))).toBe(0);
    await until(() => meant('before\nafter\n'), 'what came after');
    expect(port.name).toBe(name);
    port.vanish!(true);
    await rig.stop();
    expect(rig.errors).toEqual([]);
    expect(rig.portEvents).toEqual([{ event: 'gone' }, { event: 'back', name }, { event: 'gone' }]);
  });
});

describe.each(['file', 'stdout'])('port %s', (kind) => {
  it('cannot be made to go, refuse or keep: its stream stays whole', async () => {
    const { port, stop } = await openRig(kind);
    expect([port.vanish, port.comeBack, port.refuse, port.keep]).toEqual([undefined, undefined, undefined, undefined]);
    await stop();
  });
});

describe.each(kinds)('port %s', (kind) => {
  it('says of just what it has no way to do that it cannot', async () => {
    const rig = await openRig(kind);
    const { port, portEvents } = rig;
    const cannot = new Set(port.cannot ?? []);
    expect(cannot.has('refuse')).toBe(port.refuse === undefined);
    expect(cannot.has('keep')).toBe(port.keep === undefined);
    expect(cannot.has('go')).toBe(port.vanish === undefined);
    // What is tested above of those that hosts open.
    expect(cannot.has('hang-up')).toBe(!(kind in SPECS));
    const { name } = port;
    port.vanish?.(true);
    port.comeBack?.('other');
    if (!cannot.has('go')) await until(() => portEvents.some(({ event }) => event === 'back'), 'the port to be back');
    expect(cannot.has('other-name')).toBe(port.name === name);
    await rig.stop();
  });
});
