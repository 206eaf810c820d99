import js from "@eslint/js";
import { defineConfig } from "eslint/config";

export default defineConfig([
  {
    files: ["source/**/*.js"],
    plugins: { js },
    extends: ["js/recommended"],
    linterOptions: { reportUnusedDisableDirectives: "error" },
    // names that nobody defined are found by the types (tsconfig.json), which know the browser's own
    rules: { "no-undef": "off" },
  },
]);
