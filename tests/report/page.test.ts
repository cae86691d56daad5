import { h } from 'preact';
import { describe, expect, it } from 'vitest';
import { page } from '../../src/report/page.js';
import { STYLE } from '../../src/report/style.js';
import { Facts, Table } from '../../src/report/table.js';
import { Verdict, type VerdictWord } from '../../src/report/verdict.js';
import { elements, HOSTILE, outsideReferences, parsePage } from './document.js';

describe('a page', () => {
  it('is a whole document with the caution first, in the reader’s light or dark, without script or anything fetched', () => {
    const html = page({ title: 'A run', caution: 'SIMULATED DATA', children: h('p', null, 'text') });
    expect(html.startsWith('<!doctype html>\n<html lang="en">')).toBe(true);
    expect(html.indexOf('SIMULATED DATA')).toBeLessThan(html.indexOf('<main>'));
    expect(outsideReferences(html)).toEqual([]);
    expect(html).toContain('prefers-color-scheme: dark');
    expect(html).toContain('@media print');
    expect(html).toContain("default-src 'none'");
    expect(parsePage(html).problems).toEqual([]);
  });

  it('holds its style sheet as it is: nothing in it needs escaping', () => {
    expect(STYLE).not.toMatch(/["&<]/);
    expect(page({ title: '', caution: '', children: null })).toContain(STYLE);
  });

  it.each(HOSTILE)('takes text for text, wherever it stands: %#', (text) => {
    const html = page({
      title: text,
      caution: text,
      children: [
        h('pre', null, text),
        h(Table, { caption: text, columns: [{ head: text, isCode: true }], rows: [[text]] }),
        h(Facts, { facts: [[text, text]] }),
        h('p', { title: text }, text),
      ],
    });
    const { document, problems } = parsePage(html);
    expect(problems).toEqual([]);
    expect(elements(document, 'script').length + elements(document, 'img').length).toBe(0);
    expect(outsideReferences(html.replaceAll('src=x', '').replaceAll('&lt;script>', ''))).toEqual([]);
    expect(new TextDecoder().decode(new TextEncoder().encode(html))).toBe(html);
  });
});

describe('a verdict', () => {
  it.each<VerdictWord>(['passed', 'failed', 'untested', 'broken', 'good', 'remark', 'bad'])(
    '%s is told by its word and by a shape, not by colour alone',
    (verdict) => {
      const html = page({ title: '', caution: '', children: h(Verdict, { verdict }) });
      expect(html).toContain(`</svg>${verdict}</span>`);
      expect(html).toMatch(/<path d="M[^"]+"><\/path>/);
    },
  );

  it('of one meaning has one shape, of different meanings different ones', () => {
    const shape = (verdict: VerdictWord) =>
      /<path d="([^"]+)"/.exec(page({ title: '', caution: '', children: h(Verdict, { verdict }) }))?.[1];
    expect(shape('good')).toBe(shape('passed'));
    expect(
      new Set(['passed', 'failed', 'untested', 'broken', 'remark'].map((word) => shape(word as VerdictWord))).size,
    ).toBe(5);
  });
});
