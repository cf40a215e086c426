// All repetitions of `cropped-camera.test.ts`.
import './cropped-camera.test.ts';
