import { expect, it } from 'vitest';
import { Controlled, scenarioOf } from './helper.js';

it('a status names no port while the port is away', async () => {
  const { run, live } = new Controlled(await scenarioOf({}));
  expect(live.status().port).toBe('memory');
  run.notePort({ event: 'gone' }, 100);
  run.notePort({ event: 'refusing' }, 150);
  expect(live.status().port).toBe(null);
  run.notePort({ event: 'back', name: 'memory' }, 200);
  expect(live.status().port).toBe('memory');
});
