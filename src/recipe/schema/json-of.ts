import * as z from 'zod/mini';
import type { JsonSchema } from './leaf-schema.ts';

/** Draft-07 JSON Schema of what may be written; fields that read themselves bring their own. */
export function jsonOf(schema: z.core.$ZodType): JsonSchema {
  const made = z.toJSONSchema(schema, { target: 'draft-7', io: 'input' }) as JsonSchema;
  delete made['$schema'];
  return made;
}
