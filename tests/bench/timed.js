/*
 * Times one kind of work in a process of its own: the compiler learns from all that a process does, and two kinds of
 * work in one process slow each other down.
 * use: node timed.js write|journal|floor SCENARIO FOLDER EPOCHS      prints the seconds that EPOCHS took, once warm
 */
import { floorRunner, writeRunner } from './runners.js';

const WARM_UP_ROUNDS = 2;

const [kind, scenario, folder, epochs] = process.argv.slice(2);
const run = kind === 'floor' ? await floorRunner(scenario) : writeRunner(scenario, folder, kind === 'journal');
for (let round = 0; round < WARM_UP_ROUNDS; round++) await run(Number(epochs));
const startMs = performance.now();
await run(Number(epochs));
console.log((performance.now() - startMs) / 1000);
