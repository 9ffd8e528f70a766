/** Something that is made when it is first looked at and is from then on what was made. Used by `lazy-schemas.ts`. */
export function lazily<T extends object>(make: () => T): T {
  let made: T | undefined;
  const whole = (): T => {
    made ??= make();
    return made;
  };
  return new Proxy({} as T, {
    get: (_, key) => Reflect.get(whole(), key),
    set: (_, key, value) => Reflect.set(whole(), key, value),
    has: (_, key) => Reflect.has(whole(), key),
    getPrototypeOf: () => Reflect.getPrototypeOf(whole()),
  });
}
