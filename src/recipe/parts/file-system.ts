/** The files a recipe is read from; tests pass one in memory. Each call throws what the system throws. */
export interface FileSystem {
  /** Bytes of the file; no more than `most` of them where a caller needs no more, which saves reading what is too large. */
  readBytes(path: string, most?: number): Uint8Array;
  /** Absolute path with every link followed. */
  realPath(path: string): string;
  /** True for a file or a folder. */
  exists(path: string): boolean;
  /** There where another thread can read the same files by the same paths; hears of each that one has read. */
  readElsewhere?(path: string): void;
}
