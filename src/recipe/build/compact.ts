type Compact<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};

/** The object without the keys that are undefined: what is absent is absent. */
export function compact<T extends object>(object: T): Compact<T> {
  const out: Record<string, unknown> = {};
  for (const key in object) if (object[key] !== undefined) out[key] = object[key];
  return out as Compact<T>;
}
