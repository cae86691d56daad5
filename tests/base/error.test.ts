import { describe, expect, it } from 'vitest';
import { LodestubError } from '../../src/base/error.js';

describe('LodestubError', () => {
  it('fills the one template: what failed, where, what was expected, what was found, the way out', () => {
    const error = new LodestubError({
      code: 'scenario.range',
      path: 'scenarios/lap.yaml, line 14, receiver.elevation-mask',
      expected: '0 to 90 deg',
      received: '95',
      hint: 'Use a value such as 10.',
    });
    expect(error.message).toBe(
      'scenario.range: scenarios/lap.yaml, line 14, receiver.elevation-mask: expected 0 to 90 deg, got 95. ' +
        'Use a value such as 10.',
    );
    expect(error.name).toBe('LodestubError');
    expect(error).toBeInstanceOf(Error);
    expect(error).toMatchObject({ code: 'scenario.range', expected: '0 to 90 deg', received: '95' });
  });

  it.each([
    [{ code: 'a.b' }, /^a\.b: /],
    [{ code: 'a.b', summary: 'the file is empty' }, /^a\.b: the file is empty\.$/],
    [{ code: 'a.b', summary: 'The file is empty.' }, /^a\.b: The file is empty\.$/],
    [{ code: 'a.b', path: 'x' }, /^a\.b: x\.$/],
    [{ code: 'a.b', expected: '1' }, /^a\.b: expected 1\.$/],
    [{ code: 'a.b', received: '2' }, /^a\.b: got 2\.$/],
    [
      { code: 'a.b', path: 'x', summary: 's', expected: '1', received: '2', hint: 'h' },
      /^a\.b: x: s; expected 1, got 2\. h$/,
    ],
  ])('leaves out what is not given: %o', (detail, text) => {
    expect(new LodestubError(detail).message).toMatch(text);
  });

  it('keeps the underlying error', () => {
    const cause = new Error('EIO');
    expect(new LodestubError({ code: 'port.write', cause }).cause).toBe(cause);
    expect('cause' in new LodestubError({ code: 'port.write' })).toBe(false);
  });
});
