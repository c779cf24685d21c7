/** Reading and replacing one value deep in a design, without changing the design itself. */
export type Key = string | number;

export function valueAt(of: unknown, path: Key[]): unknown {
  let here = of;
  for (const key of path) {
    if (here === null || typeof here !== 'object') return undefined;
    here = (here as Record<Key, unknown>)[key];
  }
  return here;
}

/** A copy with one value replaced; `undefined` takes the key out. */
export function withValue<T>(of: T, path: Key[], value: unknown): T {
  const [key, ...rest] = path;
  if (key === undefined) return value as T;
  const copy = (Array.isArray(of) ? [...of] : { ...(of as object) }) as Record<Key, unknown>;
  const replaced = withValue(copy[key], rest, value);
  if (replaced === undefined) delete copy[key];
  else copy[key] = replaced;
  return copy as T;
}

/** The nominal value of a number that may be a band. */
export function nominal(value: unknown): number | null {
  if (typeof value === 'number') return value;
  if (value !== null && typeof value === 'object' && 'value' in value) {
    return nominal((value as { value: unknown }).value);
  }
  return null;
}
