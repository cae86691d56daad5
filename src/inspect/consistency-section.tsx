import type { JSX } from 'preact';
import { count, decimal, metres, NOTHING, withUnit } from '../report/figures.js';
import { Facts, Table } from '../report/table.js';
import type { AgreementPart, MotionPart, WindowFigures } from './consistency-report.js';
import { Examples } from './examples.js';

/** What the stream tells in two ways: the velocity and the positions, the place in several sentences. */
export function ConsistencySection(props: {
  readonly motion: MotionPart;
  readonly agreement: AgreementPart;
}): JSX.Element | null {
  const { motion, agreement } = props;
  const windows = [
    ...(motion.moving === null ? [] : [['from 2 m/s on', motion.moving] as const]),
    ...(motion.slow === null ? [] : [['below 2 m/s', motion.slow] as const]),
  ];
  if (windows.length === 0 && agreement.places.length === 0) return null;
  return (
    <>
      <h2>Told in two ways</h2>
      {windows.length > 0 && <Motion motion={motion} windows={windows} />}
      {agreement.places.length > 0 && <Places agreement={agreement} />}
    </>
  );
}

function Motion(props: {
  readonly motion: MotionPart;
  readonly windows: readonly (readonly [name: string, figures: WindowFigures])[];
}): JSX.Element {
  const { ratio, courseOffDeg, unit, examples } = props.motion;
  const speed = (value: number) => withUnit(value, 2, 'm/s');
  return (
    <>
      <h3>Speed and course against the positions, in windows of 10 s</h3>
      <Table
        columns={[
          { head: 'speed told' },
          { head: 'windows', isFigure: true },
          { head: 'told', isFigure: true },
          { head: 'gone', isFigure: true },
          { head: 'apart, median', isFigure: true },
          { head: '95 %', isFigure: true },
          { head: 'beyond what is allowed', isFigure: true },
        ]}
        rows={props.windows.map(([name, each]) => [
          name,
          count(each.windows),
          ...[each.toldMps, each.goneMps, each.medianMps, each.p95Mps].map(speed),
          count(each.apart),
        ])}
      />
      <Facts
        facts={[
          ['way gone by way told', decimal(ratio, 3)],
          ['direction gone minus course told', withUnit(courseOffDeg, 1, '°')],
          ['unit that the speed seems to be in', unit ?? NOTHING],
        ]}
      />
      {examples.length > 0 && <Examples examples={examples} />}
    </>
  );
}

function Places({ agreement }: { readonly agreement: AgreementPart }): JSX.Element {
  return (
    <>
      <h3>Places of one epoch</h3>
      <Table
        columns={[
          { head: 'sentences' },
          { head: 'epochs', isFigure: true },
          { head: 'apart', isFigure: true },
          { head: 'median', isFigure: true },
          { head: 'largest', isFigure: true },
          { head: 'second east of the first', isFigure: true },
          { head: 'north', isFigure: true },
        ]}
        rows={agreement.places.map((pair) => [
          `${pair.first}, ${pair.second}${pair.late === null ? '' : ` (${pair.late} an epoch late)`}`,
          count(pair.epochs),
          count(pair.apart),
          ...[pair.medianM, pair.largestM, pair.eastM, pair.northM].map((value) => metres(value)),
        ])}
      />
      {agreement.places.map(({ examples }) => examples.length > 0 && <Examples examples={examples} />)}
    </>
  );
}
