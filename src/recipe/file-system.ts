/** The files a recipe is read from; tests pass one in memory. Each call throws what the system throws. */
export interface FileSystem {
  /** Bytes of the file. */
  readBytes(path: string): Uint8Array;
  /** Absolute path with every link followed. */
  realPath(path: string): string;
  /** True for a file or a folder. */
  exists(path: string): boolean;
}
