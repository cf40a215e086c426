/** The text of the i-th recipe of each family. */
export declare const CORPORA: Readonly<Record<string, (i: number) => string>>;
