/** Every code of an error about a route, with what it means. */
export const ROUTE_ERROR_CODES: Readonly<Record<string, string>> = {
  'route.empty': 'The route, or the part of it that is to be repeated, has no step.',
  'route.range': 'A duration, speed, acceleration, yaw rate, radius or number of rounds outside its range.',
  'route.place': 'A latitude, longitude or height that is not on the map.',
  'route.length': 'More steps than can be, once every repeat is written out.',
  'route.no-place': 'The first step does not say where it begins.',
  'route.jump': 'A hold or a track begins elsewhere than at the place reached.',
  'route.zero-leg': 'A go leads to the place where it begins.',
  'route.track-times': 'A track has no times, or not for every point, and the step gives it no speed.',
  'route.track-order': 'Times of a track run backwards, or one time has two places.',
  'route.track-gap': 'Two points of a recorded track are too far apart to be joined.',
  'route.track-short': 'A track has fewer than two points that differ.',
};

/** Every code of an error about a track's file, with what it means. */
export const TRACK_ERROR_CODES: Readonly<Record<string, string>> = {
  'track.xml': 'The file of a track is not XML, or broken.',
  'track.empty': 'The file of a track has no track and no route in it.',
  'track.place': 'A latitude or longitude of a track is missing or outside its range.',
  'track.height': 'A height of a track is not a number, or outside its range.',
  'track.time': 'A time of a track is not a time.',
  'track.some-times': 'Some points of a track have a time and some have none.',
};
