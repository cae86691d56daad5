import { z } from 'zod';
import { defineFault } from '../fault.js';

export const fewInView = defineFault({
  name: 'few-in-view',
  title: 'GSV lists fewer satellites than are used.',
  stage: 'receiver',
  settings: z.strictObject({
    keep: z.int().min(0).max(99).default(3).describe('how many are listed at most, of all systems together'),
  }),
  goodHost: 'Takes both counts as they are, and refuses no fix because they do not fit.',
  create: ({ keep }) => ({
    report: (report) => (report.inView.length <= keep ? report : { ...report, inView: report.inView.slice(0, keep) }),
  }),
});
