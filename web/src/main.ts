import "./styles.css";

import { startCard } from "./card";
import { startCursor } from "./cursor";
import { startExercise } from "./exercise";
import { startTheme } from "./theme";
import { startUpload } from "./upload";

startTheme();
startExercise();
startCard();
startUpload();
startCursor();
document.documentElement.dataset["ready"] = "yes";
