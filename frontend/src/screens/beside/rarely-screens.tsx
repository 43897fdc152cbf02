/** The addresses that no job needs: joining a dealer, settings, about. What stands there comes with the piece beside the job. */
import { Beside } from "./door";

export const EnrolScreen = () => <Beside show={({ EnrolRoom }) => <EnrolRoom />} />;
export const SettingsScreen = () => <Beside show={({ SettingsRoom }) => <SettingsRoom />} />;
export const AboutScreen = () => <Beside show={({ AboutRoom }) => <AboutRoom />} />;
export const JobLinkScreen = () => <Beside show={({ JobLinkRoom }) => <JobLinkRoom />} />;
