//! The bench's own id, kept outside the shop so that a copied shop folder does not copy it.

use std::io;
use std::path::Path;

use crate::store::disk;
use crate::store::disk::Disk;
use crate::store::error::StoreError;
use crate::store::paths;

/// Returns the id of this bench: the environment's, else the one in `file`, else `candidate`, which
/// is then written there.
pub fn bench_id(
    disk: &dyn Disk,
    file: &Path,
    environment: Option<&str>,
    candidate: &str,
) -> Result<String, StoreError> {
    if let Some(told) = environment.filter(|told| !told.is_empty()) {
        return Ok(paths::safe_name(told)?.to_owned());
    }
    match disk.read(file) {
        Ok(bytes) => {
            let text = String::from_utf8_lossy(&bytes);
            Ok(paths::safe_name(text.trim())?.to_owned())
        }
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let id = paths::safe_name(candidate)?;
            disk::replace(disk, file, format!("{id}\n").as_bytes())
                .map_err(StoreError::io("write", file))?;
            Ok(id.to_owned())
        }
        Err(error) => Err(StoreError::io("read", file)(error)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::store::model_disk::ModelDisk;

    #[test]
    fn the_first_run_chooses_and_later_runs_keep() {
        let disk = ModelDisk::new();
        let file = Path::new("/config/benchlore/bench");
        assert_eq!(bench_id(&disk, file, None, "b7").unwrap(), "b7");
        assert_eq!(bench_id(&disk, file, None, "c1").unwrap(), "b7");
        assert_eq!(bench_id(&disk, file, Some(""), "c1").unwrap(), "b7");
        assert_eq!(bench_id(&disk, file, Some("x2"), "c1").unwrap(), "x2");
        assert!(bench_id(&disk, file, Some("../x"), "c1").is_err());
        disk.put(file, b"\0\0\0");
        assert!(bench_id(&disk, file, None, "c1").is_err());
    }
}
