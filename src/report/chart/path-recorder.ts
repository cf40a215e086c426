import type { PathCommand } from '../page/marks.ts';

/** Takes the pen strokes of a d3 shape, which draws on anything with these methods, and keeps them as path commands. */
export class PathRecorder {
  readonly commands: PathCommand[] = [];
  moveTo(x: number, y: number): void {
    this.commands.push(['M', x, y]);
  }
  lineTo(x: number, y: number): void {
    this.commands.push(['L', x, y]);
  }
  bezierCurveTo(x1: number, y1: number, x2: number, y2: number, x: number, y: number): void {
    this.commands.push(['C', x1, y1, x2, y2, x, y]);
  }
  closePath(): void {
    this.commands.push(['Z']);
  }
}
