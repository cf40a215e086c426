// All cases of `refraction.test.ts`.
import './refraction.test.ts';
