import type { ComponentChildren, JSX } from 'preact';
import { count, decimal, metres, NOTHING, withUnit } from '../report/figures.js';
import { gapOf } from '../report/gap-of.js';
import { ScatterPlot, type ScatterPlotProps } from '../report/scatter-plot.js';
import { Facts } from '../report/table.js';
import { TimePlot, type TimeSeries } from '../report/time-plot.js';
import type { PositionPart, PositionPoint } from './inspect-report.js';

/** Position: its scatter, its error against the reference, and how both go on in time. */
export function PositionSection({ position }: { readonly position: PositionPart }): JSX.Element {
  const { points, count: positions } = position;
  if (positions === 0) {
    return (
      <>
        <h2>Position</h2>
        <p>The stream tells none.</p>
      </>
    );
  }
  const centre = `the ${zeroOf(position)}`;
  const gapS = gapOf(points.map(({ tS }) => tS));
  return (
    <>
      <h2>Position</h2>
      <Facts facts={factsOf(position)} />
      {points.length > 0 && (
        <div class="drawings">
          <ScatterPlot {...scatterOf(position, centre)} />
          <div>
            <TimePlot
              title={`Position over time, ${centre} being zero`}
              valueLabel="offset (m)"
              series={[
                seriesOf('east', 'module', points, ({ eastM }) => eastM),
                seriesOf('north', 'host', points, ({ northM }) => northM),
              ]}
              gapS={gapS}
              leastSpan={2}
            />
            {points.some(({ upM }) => upM !== null) && (
              <TimePlot
                title={`Height over time, ${centre} being zero`}
                valueLabel="height (m)"
                series={[seriesOf('up', 'module', points, ({ upM }) => upM)]}
                gapS={gapS}
                leastSpan={2}
              />
            )}
          </div>
        </div>
      )}
    </>
  );
}

/** What points are counted from. */
function zeroOf({ zero }: PositionPart): string {
  return zero === 'reference' ? 'reference' : zero === 'first' ? 'first position' : 'mean';
}

function seriesOf(
  label: string,
  tone: TimeSeries['tone'],
  points: readonly PositionPoint[],
  read: (point: PositionPoint) => number | null,
): TimeSeries {
  return { label, tone, points: points.map((point) => ({ tS: point.tS, value: read(point) })) };
}

/** Circles about the reference where there is one, else about the mean, which is zero then. */
function scatterOf({ about, points, offset, scatter, error }: PositionPart, centre: string): ScatterPlotProps {
  const middle = { eastM: 0, northM: 0 };
  const circles: ScatterPlotProps['circles'][number][] = [];
  if (about === 'reference' && error !== null) {
    circles.push(
      { ...middle, label: '50 %', radiusM: error.medianM },
      { ...middle, label: '95 %', radiusM: error.p95M },
    );
  } else if (about === 'mean' && scatter !== null) {
    circles.push(
      { ...middle, label: 'CEP', radiusM: scatter.cepM },
      { ...middle, label: '95 %', radiusM: scatter.r95M },
    );
  }
  return {
    title: about === 'none' ? 'The way it went' : `Scatter about ${centre}`,
    about: centre,
    points,
    mean: about === 'reference' ? offset : null,
    circles,
  };
}

function factsOf(position: PositionPart): [string, ComponentChildren][] {
  const { reference, offset, scatter, error, drift, distanceM, largestSpeedMps, geoidDeviationM } = position;
  const facts: [string, ComponentChildren][] = [['positions', count(position.count)]];
  if (reference !== null) {
    const height = reference.altitudeMslM === null ? '' : `, ${metres(reference.altitudeMslM)} above mean sea level`;
    const place = `${decimal(reference.latitudeDeg, 7)}, ${decimal(reference.longitudeDeg, 7)}`;
    facts.push([zeroOf(position), `${place}${height}`]);
  }
  if (offset !== null) {
    facts.push(['mean error east, north', `${metres(offset.eastM)}, ${metres(offset.northM)}`]);
    if (offset.upM !== null) facts.push(['mean error of height', metres(offset.upM)]);
  }
  if (error !== null) {
    facts.push(['50 % of errors within', metres(error.medianM)], ['95 % of errors within', metres(error.p95M)]);
    facts.push(['largest error', metres(error.largestM)]);
    if (error.heightP95M !== null) facts.push(['95 % of errors of height within', metres(error.heightP95M)]);
  }
  if (scatter !== null) {
    facts.push(['CEP about the mean', metres(scatter.cepM)], ['95 % about the mean', metres(scatter.r95M)]);
    facts.push(['DRMS, 2DRMS', `${metres(scatter.drmsM)}, ${metres(scatter.twoDrmsM)}`]);
    facts.push(['standard deviation of height', metres(scatter.heightDeviationM)]);
  }
  if (drift !== null) {
    const perHour = (mps: number) => withUnit(mps * 3600, 2, 'm/h');
    facts.push(['drift east, north', `${perHour(drift.eastMps)}, ${perHour(drift.northMps)}`]);
  }
  if (position.isMoving === true) {
    facts.push(['distance', metres(distanceM)], ['largest speed', withUnit(largestSpeedMps, 1, 'm/s')]);
  }
  facts.push(['geoid separation minus EGM96', geoidDeviationM === null ? NOTHING : metres(geoidDeviationM)]);
  return facts;
}
