import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';

export const root = join(import.meta.dirname, '..', '..');

/** Every page of the project, by its path from the root. */
export const PAGES: readonly string[] = ['.', 'recipes', 'examples', 'src']
  .flatMap(folder =>
    readdirSync(join(root, folder), { recursive: folder !== '.', encoding: 'utf8' }).map(name => join(folder, name)),
  )
  .filter(name => name.endsWith('.md'))
  .sort();

export function pageText(path: string): string {
  return readFileSync(join(root, path), 'utf8');
}

export interface Link {
  /** As written, `.` for a place in the same page. */
  readonly path: string;
  readonly anchor: string | null;
}

/** The links of a page that lead to a file of ours. */
export function linksOf(text: string): Link[] {
  return [...text.matchAll(/\]\((?!https?:)([^)#\s]*)(?:#([^)]*))?\)/g)].map(([, path = '', anchor = null]) => ({
    path: path === '' ? '.' : path,
    anchor,
  }));
}

/** The anchors of the headings of a page, as web pages of repositories make them. */
export function anchorsOf(text: string): string[] {
  return [...text.matchAll(/^#+ (.+)$/gm)].map(([, title = '']) =>
    title
      .toLowerCase()
      .replaceAll(/[^\p{L}\p{N}\s_-]/gu, '')
      .replaceAll(' ', '-'),
  );
}

/** Files of the project that a page names in code: `src/physics/air/air.ts`. */
export function filesNamed(text: string): string[] {
  const inCode =
    /`((?:src|tests|recipes|examples|\.build|\.ci|bin)\/[\w./-]*\.(?:ts|mjs|cjs|js|json|yaml|yml|csv|md))`/g;
  return [...text.matchAll(inCode)].map(([, path = '']) => path);
}

export function missingFiles(paths: readonly string[]): string[] {
  return paths.filter(path => !existsSync(join(root, path)));
}
