/** The points that no other one is as good as in both coordinates and better than in one. */
interface Judged {
  x: number;
  y: number;
  met: boolean;
}

/** Places of those that meet every limit and are not dominated by another that does. */
export function nonDominated(points: Judged[], moreX: boolean, moreY: boolean): Set<number> {
  const signX = moreX ? -1 : 1;
  const signY = moreY ? -1 : 1;
  const order = points
    .map((point, at) => ({ at, x: signX * point.x, y: signY * point.y, met: point.met }))
    .filter((one) => one.met && Number.isFinite(one.x + one.y))
    .sort((a, b) => a.x - b.x || a.y - b.y);
  const best = new Set<number>();
  let least = Infinity;
  let last = { x: NaN, y: NaN };
  for (const one of order) {
    // Equal ones stand side by side.
    if (one.y < least || (one.x === last.x && one.y === last.y)) {
      best.add(one.at);
      least = one.y;
      last = one;
    }
  }
  return best;
}
