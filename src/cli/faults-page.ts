import { FAILURE_BASE, FIELD_FAILURES, scenarioOfFailure } from '../faults/catalogue.js';
import type { FieldFailure } from '../faults/failures/failure.js';
import type { FaultKind, Stage } from '../faults/fault.js';
import { FAULT_KINDS } from '../faults/registry.js';
import { settingsOf } from '../faults/settings-of.js';
import { exampleRecords } from './fault-example.js';

/** The stages in the order of the way from the antenna to the host. */
const STAGES: Readonly<Record<Stage, string>> = {
  signal: 'Act at each epoch in force on what arrives at the antenna; the receiver makes of it what it can.',
  receiver: 'Act on what the receiver reports at each epoch in force, or on the module’s power.',
  sentence: 'Act on the sentences of each epoch in force, as they are handed to the line.',
  byte: 'Act on the bytes whose start bits fall in their time, or on the line’s speed.',
  port: 'Act on the way from the line to the host: the journal has what the module sent, not what the host got of it.',
};

/** The page of all faults and field failures, Markdown: written from the registry, the catalogue and short runs. */
export async function faultsPage(): Promise<string> {
  const kinds: string[] = [];
  for (const [stage, what] of Object.entries(STAGES)) {
    kinds.push(`### ${stage[0]?.toUpperCase()}${stage.slice(1)}\n\n${what}\n`);
    for (const kind of FAULT_KINDS) if (kind.stage === stage) kinds.push(await describeKind(kind));
  }
  return `${INTRODUCTION}\n## The kinds\n\n${kinds.join('\n')}\n${describeFailures()}`;
}

async function describeKind(kind: FaultKind): Promise<string> {
  const settings = describeSettings(kind);
  const lines = [
    `#### ${kind.name}`,
    '',
    kind.title,
    '',
    ...(settings.length === 0 ? ['No settings.'] : settings),
    '',
    `A good host: ${kind.goodHost[0]?.toLowerCase()}${kind.goodHost.slice(1)}`,
    '',
    '```json',
    ...(await exampleRecords(kind)),
    '```',
    '',
  ];
  return lines.join('\n');
}

function describeSettings(kind: FaultKind): string[] {
  return Object.entries(settingsOf(kind)).map(([name, { description = '', default: byDefault }]) => {
    const shown = byDefault === undefined ? '' : `, default \`${asTyped(byDefault)}\``;
    return `- \`${name}\`${shown}: ${description}`;
  });
}

/** A default as it would be typed in a scenario. */
function asTyped(value: unknown): string {
  if (Array.isArray(value)) return `[${value.map(asTyped).join(', ')}]`;
  return typeof value === 'object' ? JSON.stringify(value) : String(value);
}

function describeFailures(): string {
  const rows = FIELD_FAILURES.map((failure) => {
    const { id, rank, sees, harm, lines } = failure;
    const code = lines.map((line) => `\`${line}\``).join('<br>');
    return `| ${id} | ${rank ?? ''} | ${sees} | ${harm} | ${causeOf(failure)} | ${code} | ${failure.shown} |`;
  });
  return [
    '## What breaks host software in the field',
    '',
    FAILURES_INTRODUCTION,
    '',
    '```yaml',
    ...FAILURE_BASE,
    '```',
    '',
    'For example, the first of them as a whole:',
    '',
    '```yaml',
    scenarioOfFailure(FIELD_FAILURES[0] as FieldFailure).trimEnd(),
    '```',
    '',
    '| failure | rank | what the host sees | harm | by | lines of scenario | that it is so |',
    '|---|---|---|---|---|---|---|',
    ...rows,
    '',
  ].join('\n');
}

/** What brings a failure about, in a few words. */
function causeOf({ by, of, also }: FieldFailure): string {
  const cause = by === 'fault' || by === 'setting' ? `${by} \`${of}\`` : `by itself: ${of}`;
  return also === undefined ? cause : `${cause}; ${also}`;
}

const FAILURES_INTRODUCTION =
  'Collected from the reports and tests of open-source host software. The rank is that of the twenty worst, by how\n' +
  'many projects met it and the harm done. Each comes about by the lines given, put into this scenario in place of\n' +
  'the lines of the same keys:';

const INTRODUCTION = `# Faults and field failures

This page is written by \`lodestub list faults --markdown\` from the registry of faults, the catalogue of field
failures and short runs. Do not edit it by hand.

## How faults act

A fault is an entry of a scenario's timeline:

\`\`\`yaml
timeline:
  - { at: 6 min, for: 20 s, fault: bad-checksum, with: { share: 0.25 } }
  - { at: 1 min, until: 9 min, chance: 2 /min, for: 3 s, fault: silence, id: cable }
  - { at: 8 min, clear: cable }
live:
  - { fault: signal-loss, for: 10 s }
\`\`\`

It is in force from \`at\` on for the time \`for\`; without it as long as its kind says, or to the end. With \`chance\`
it comes at random times from \`at\` to \`until\`, so often on average, one occurrence after the other: the mean gap
between two is 1/rate less the length, which therefore has an end and is less than 1/rate. \`id\` names it in the
journal; without it the name is the entry's place, from 1. Its occurrences are counted: 3.1, 3.2, cable.1.
\`clear\` ends what an entry has brought about, just as \`for\` does. What stands under \`live\` is started by hand
while the scenario is played.

Each kind acts at one stage of the way from the antenna to the host:

| stage | acts on | in force at |
|---|---|---|
| signal | what arrives at the antenna | the epoch |
| receiver | the report, the module's power | the epoch; at the instant itself for power and text |
| sentence | the sentences of an epoch, and their order | the epoch that they belong to |
| byte | the bytes on the line, and its speed | each byte's start bit |
| port | the port, and the delivery to the host | the instant |

Where several act on one sentence, they do so in this order: first those of the receiver have changed what it tells;
then those that set the order of an epoch's sentences; then each sentence passes the sentence faults one after the
other; then its bytes pass the byte faults. Those of one stage act in the order of the timeline, what was started by
hand last, but damage is done last, so that it undoes no other fault: \`bad-checksum\`, \`cut-then-dollar\` and
\`checksum-form\` act behind the other sentence faults; \`checksum-form\` with \`lowercase\`, and \`line-ending\`,
behind those. Each gets what the one before has left: a checksum that has been cut off is not spoiled.

A tell-tale stands in the journal where the bytes that went out carry it and no host that looks at the checksum can take
them for a sentence: not where bits that flipped later have made the checksum right, or where bytes behind a sentence
that was cut make it whole. So what is on record is proof.

Each occurrence has a random stream of its own, which follows from the seed and its id. So the same scenario and seed
give the same bytes. A fault that is added at the end of the timeline changes nothing about what the others do; one that
is put between them moves the places of those behind it that have no \`id\`, and with it what chance gives them.

The journal has a line for the beginning and the end of each occurrence. An epoch names in \`faults\` those in force at
it; a sentence, bytes or what was dropped those that had a hand in it. A sentence stands there as the module meant it,
with \`sentBase64\` beside it where other bytes went out. Below each kind stands what it wrote in a run, with its
default settings, in force for 50 s: its beginning, and the first records that it had a hand in, shortened where they
are long.
`;
