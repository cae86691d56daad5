import type { JSX } from 'preact';
import { Drawing, dotsPath, Path, pointPath, px, WIDTH_PX } from './drawing.js';
import { boundsOf, bulkBounds, type Level, levelMap } from './extent.js';
import { metres } from './figures.js';
import { LevelAxes, ScaleAndNorth } from './level-axes.js';
import { thinByCell } from './lines.js';

export interface ScatterPlotProps {
  readonly title: string;
  /** What (0, 0) is: `the reference`, `the mean`. */
  readonly about: string;
  /** Offsets from there, m. */
  readonly points: readonly Level[];
  /** The mean of the points, where it is not (0, 0) itself. */
  readonly mean?: Level | null;
  /** Circles with what they hold: `CEP`, `95 %`. */
  readonly circles: readonly (Level & { readonly label: string; readonly radiusM: number })[];
}

/** The least of ground that is shown, m. */
const LEAST_M = 1;

/** Positions about a place, with the circles that hold 50 and 95 % of them. */
export function ScatterPlot(props: ScatterPlotProps): JSX.Element {
  const { title, about } = props;
  const points = props.points.filter(isFinite2);
  const mean = props.mean && isFinite2(props.mean) ? props.mean : null;
  const circles = props.circles.filter((circle) => isFinite2(circle) && Number.isFinite(circle.radiusM));
  const bulk = bulkBounds(points, 99);
  const rims = circles.flatMap(({ eastM, northM, radiusM }) => [
    { eastM: eastM - radiusM, northM: northM - radiusM },
    { eastM: eastM + radiusM, northM: northM + radiusM },
  ]);
  const corners = bulk === null ? [] : cornersOf(bulk);
  const bounds = boundsOf([...rims, ...corners, { eastM: 0, northM: 0 }]);
  const map = levelMap(
    bounds ?? { westM: 0, eastM: 0, southM: 0, northM: 0 },
    { left: 54, top: 24, right: WIDTH_PX - 10 },
    LEAST_M,
    [260, 420],
  );
  const dots = points.filter(map.holds).map(({ eastM, northM }) => ({ x: map.xOf(eastM), y: map.yOf(northM) }));
  const outside = points.length - dots.length;
  const [zeroX, zeroY] = [px(map.xOf(0)), px(map.yOf(0))];
  const told = circles.map(({ label, radiusM }) => `${label}: ${metres(radiusM)}`).join(', ');
  return (
    <Drawing
      title={title}
      description={`${points.length} positions about ${about}, east to the right, north up. ${told}.`}
      heightPx={map.area.bottom + 38}
      legend={[
        { label: 'position', tone: 'module', as: 'dots' },
        ...(mean === null ? [] : [{ label: 'mean of the positions', tone: 'host', as: 'points' } as const]),
      ]}
      note={outside > 0 ? `${outside} of ${points.length} positions that are drawn lie outside.` : null}
    >
      <LevelAxes map={map} about={about} />
      <g class="faint">
        <Path class="dots module" d={dotsPath(thinByCell(dots, 1))} />
      </g>
      {circles.map(({ label, eastM, northM, radiusM }, index) => {
        const [x, y, r] = [px(map.xOf(eastM)), px(map.yOf(northM)), px(radiusM * map.pxPerM)];
        return (
          <g>
            <circle class={index === 0 ? 'circle' : 'circle wide'} cx={x} cy={y} r={r} />
            <text class="halo" x={x} y={index === 0 ? px(y + r + 15) : px(y - r - 5)} text-anchor="middle">
              {`${label}: ${metres(radiusM)}`}
            </text>
          </g>
        );
      })}
      <Path class="cross" d={`M${zeroX - 7} ${zeroY}h14M${zeroX} ${zeroY - 7}v14`} />
      {mean !== null && <Path class="point host" d={pointPath('host', map.xOf(mean.eastM), map.yOf(mean.northM), 5)} />}
      <ScaleAndNorth map={map} avoid={dots} />
    </Drawing>
  );
}

function isFinite2({ eastM, northM }: Level): boolean {
  return Number.isFinite(eastM) && Number.isFinite(northM);
}

function cornersOf({
  westM,
  eastM,
  southM,
  northM,
}: {
  westM: number;
  eastM: number;
  southM: number;
  northM: number;
}): Level[] {
  return [
    { eastM: westM, northM: southM },
    { eastM: eastM, northM: northM },
  ];
}
