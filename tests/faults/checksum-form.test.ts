import { describe, expect, it } from 'vitest';
import { expectShare } from './helper.js';
import {
  ALL_PLACES,
  ARITHMETIC_DEG,
  isIntact,
  kindOf,
  placeIn,
  sentFields,
  sentText,
  strike,
} from './sentence-helper.js';

const FORMS: ReadonlyArray<readonly [string, (text: string) => string]> = [
  ['lowercase', (text) => text.slice(0, -2) + text.slice(-2).toLowerCase()],
  ['missing', (text) => text.slice(0, -3)],
  ['half', (text) => text.slice(0, -1)],
  ['star-only', (text) => text.slice(0, -2)],
];

describe('checksum-form', () => {
  it.each(FORMS)('%s is written so, and nothing else is touched', async (form, write) => {
    const { lines } = await strike('checksum-form', { form });
    expect(lines.length).toBeGreaterThan(300);
    for (const line of lines) expect(sentText(line)).toBe(`${write(line.text)}\r\n`);
  });

  it('lowercase has no hand in a checksum without letters', async () => {
    const { lines } = await strike('checksum-form');
    expect(lines.some(({ text }) => /\*\d\d$/.test(text))).toBe(true);
    for (const line of lines) expect(line.faults).toEqual(/\*\d\d$/.test(line.text) ? [] : ['1.1']);
  });

  it('strikes the share of the chosen kinds', async () => {
    const settings = { form: 'missing', share: 0.4, sentences: ['RMC', 'GSV'] };
    const { lines } = await strike('checksum-form', settings, { duration: '200 s' });
    const chosen = lines.filter((line) => /RMC|GSV/.test(kindOf(line)));
    expectShare(chosen.filter(({ faults }) => faults.length > 0).length, chosen.length, 0.4);
    for (const line of lines) if (!/RMC|GSV/.test(kindOf(line))) expect(isIntact(sentText(line))).toBe(true);
  });

  it.each(FORMS.slice(1).map(([form]) => form))('%s carries a tell-tale', async (form) => {
    const { lines } = await strike('checksum-form', { form, 'tell-tale': true }, { module: ALL_PLACES });
    for (const line of lines) {
      expect(line.tellTale !== undefined).toBe(/GGA|GLL|RMC|GNS/.test(kindOf(line)));
      expect(isIntact(sentText(line))).toBe(false);
      if (line.tellTale === undefined) continue;
      const place = placeIn(sentFields(line));
      expect(Math.abs((place?.latitudeDeg ?? 99) - line.tellTale.latitudeDeg)).toBeLessThan(ARITHMETIC_DEG);
      expect(sentText(line).startsWith(line.text.slice(0, 7))).toBe(true);
    }
  });

  it('lowercase may not carry one: its checksum is right', async () => {
    await expect(strike('checksum-form', { 'tell-tale': true })).rejects.toThrow(/tell-tale.*expected false with form/);
  });
});
