import fc from 'fast-check';
import { expect, it } from 'vitest';
import { Backlog } from '../../../src/emit/ports/backlog.js';

const bytes = (text: string) => Buffer.from(text);

it('keeps none until it is told to', () => {
  const backlog = new Backlog();
  expect([backlog.push(bytes('abc')), backlog.append(bytes('abc')), backlog.isEmpty]).toEqual([3, 3, true]);
  expect(backlog.take().length).toBe(0);
});

it('keeps the newest when its limit falls, and says how many are lost', () => {
  const backlog = new Backlog();
  expect(backlog.limit(8)).toBe(0);
  expect(backlog.push(bytes('0123456789'))).toBe(2);
  expect(backlog.limit(3)).toBe(5);
  expect(backlog.limit(100)).toBe(0);
  expect(backlog.push(bytes('ab'))).toBe(0);
  expect(String(backlog.take())).toBe('789ab');
  expect(backlog.isEmpty).toBe(true);
});

it('holds what a plain list of bytes cut at its front would hold, whatever is done with it', () => {
  const step = fc.oneof(
    fc.record({ do: fc.constant('push' as const), with: fc.uint8Array({ maxLength: 20 }) }),
    fc.record({ do: fc.constant('append' as const), with: fc.uint8Array({ maxLength: 20 }) }),
    fc.record({ do: fc.constant('limit' as const), with: fc.nat(16) }),
    fc.record({ do: fc.constant('feed' as const), with: fc.nat(16) }),
  );
  const check = (steps: readonly (typeof step extends fc.Arbitrary<infer T> ? T : never)[]) => {
    const backlog = new Backlog();
    let limit = 0;
    let list: number[] = [];
    for (const each of steps) {
      const before = list.length;
      if (each.do === 'push') {
        list = [...list, ...each.with].slice(limit === 0 ? Infinity : -limit);
        expect(backlog.push(each.with)).toBe(before + each.with.length - list.length);
      } else if (each.do === 'append') {
        list = [...list, ...each.with].slice(0, limit);
        expect(backlog.append(each.with)).toBe(before + each.with.length - list.length);
      } else if (each.do === 'limit') {
        limit = each.with;
        list = list.slice(limit === 0 ? Infinity : -limit);
        expect(backlog.limit(limit)).toBe(before - list.length);
      } else {
        let room = each.with;
        const fed: number[] = [];
        backlog.feed((piece) => {
          const count = Math.min(room, piece.length);
          fed.push(...piece.subarray(0, count));
          room -= count;
          return count;
        });
        expect(fed).toEqual(list.slice(0, each.with));
        list = list.slice(each.with);
      }
      expect(backlog.isEmpty).toBe(list.length === 0);
    }
    expect([...backlog.take()]).toEqual(list);
  };
  fc.assert(fc.property(fc.array(step, { maxLength: 30 }), check), { numRuns: 500 });
});
