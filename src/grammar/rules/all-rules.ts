import type { SentenceRule, Shape } from '../rule.js';
import { GBS, GRS, GST } from './accuracy.js';
import { HDT, ROT, THS, VBW, VTG } from './motion.js';
import { DTM, TXT, ZDA } from './others.js';
import { GGA, GLL, GNS, RMC } from './position.js';
import { GSA, GSV } from './satellites.js';

/** A rule with its shapes by number of fields; a hole: no version has so many. */
export interface RuleByCount extends SentenceRule {
  readonly byCount: readonly (Shape | undefined)[];
}

function byCount(rule: SentenceRule): RuleByCount {
  const found: (Shape | undefined)[] = [];
  for (const shape of rule.shapes) {
    while (found.length <= shape.fields.length) found.push(undefined);
    found[shape.fields.length] = shape;
  }
  return { ...rule, byCount: found };
}

/** The rules of every formatter that is judged field by field. */
export const RULES: ReadonlyMap<string, RuleByCount> = new Map(
  [GGA, RMC, GLL, VTG, GSA, GSV, GNS, GST, GBS, GRS, ZDA, DTM, TXT, HDT, THS, ROT, VBW].map((rule) => [
    rule.formatter,
    byCount(rule),
  ]),
);
