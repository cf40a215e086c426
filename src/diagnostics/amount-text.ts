/** Times, volumes of syringes and shares as sentences of findings show them: four significant digits. */

export const inSeconds = (time: number): string => `${digits(time)} s`;
export const inMinutes = (time: number): string => `${digits(time / 60)} min`;
export const inMillilitres = (volume: number): string => `${digits(volume * 1e6)} mL`;
export const inPercent = (share: number): string => `${digits(share * 100)} %`;

function digits(value: number): string {
  return String(Number(value.toPrecision(4)));
}
