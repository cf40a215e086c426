// All repetitions of `quick-yaml.test.ts`.
import './quick-yaml.test.ts';
