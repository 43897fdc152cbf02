/** A picture of the pack: its small form on the step, and the whole on a sheet. */
import { useLoaded } from "../../components/hooks";
import { Sheet } from "../../components/sheet";
import { pictureUrl, type ProcedurePack } from "../../store/bench";
import { moreWords, stepWords as words } from "../../text/job-words";

type Props = { pack: ProcedurePack; picture: string };

const useAddress = ({ pack, picture }: Props) => {
  const sha256 = pack.pictures[picture]?.sha256 ?? "";
  return useLoaded<string | null>(sha256, () => (sha256 ? pictureUrl(sha256) : Promise.resolve(null))).value;
};

export function PictureThumb({ pack, picture, to }: Props & { to: string }) {
  const { value } = useAddress({ pack, picture });
  return (
    <a class="thumb-link" href={to}>
      {value && <img src={value} alt="" />}
      <span>{words.picture}</span>
    </a>
  );
}

export function PictureSheet({ pack, picture }: Props) {
  const { value, settled } = useAddress({ pack, picture });
  const alt = pack.pictures[picture]?.alt ?? "";
  return (
    <Sheet title={words.picture} close={moreWords.back}>
      {value ? <img class="whole-picture" src={value} alt={alt} /> : <p>{settled ? words.pictureGone : words.pictureComing}</p>}
      <p>{alt}</p>
    </Sheet>
  );
}
